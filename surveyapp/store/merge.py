"""Two notebooks made one: two phones of one survey, or the phone and the desk.

The other notebook's actions join the journal as they are, and every row they touch is made anew
from all entries of both (joining.py). So merging in either order, again, or three ways gives the
same rows, and no entry of either side is missing. Undo goes on with this notebook's own actions.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from surveyapp.errors import DamagedNotebook, InvalidValue
from surveyapp.store.causes import Causes
from surveyapp.store.connection import Connection
from surveyapp.store.joining import Joined, joined_row
from surveyapp.store.journal import Journal, time_of
from surveyapp.store.rows import BY_TABLE, Kind
from surveyapp.store.tables import Tables

Key = tuple[str, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class Conflict:
    """A field that was given different values on both sides without knowledge of each other.
    `values` are all of them as plain values, the one that stands first; `origins` the notebooks
    they come from and `when_utc` the times, as texts."""

    kind: str
    row_id: str
    field: str
    values: tuple[Any, ...]
    origins: tuple[str, ...]
    when_utc: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Merged:
    """What a merge brought: actions, rows that were new or changed by it, pictures."""

    actions: int
    added: int
    changed: int
    pictures: int
    conflicts: tuple[Conflict, ...]


class Merger:
    """Merges into the notebook behind one connection, inside the caller's transaction."""

    def __init__(self, connection: Connection, tables: Tables, journal: Journal) -> None:
        self._connection = connection
        self._tables = tables
        self._journal = journal

    def take_over(self, other: Connection) -> tuple[int, int, int]:
        """Join the other's journal; numbers of actions brought, rows added and rows changed."""
        touched = self._copy_actions(other)
        if touched is None:
            return 0, 0, 0
        actions, keys = touched
        self._copy_points(other)
        causes = Causes(self._connection)
        self._connection.run_many(
            "INSERT OR IGNORE INTO merge_point VALUES (?, ?, ?, ?)",
            [
                (self._journal.origin, causes.counts[self._journal.origin], origin, count)
                for origin, count in causes.counts.items()
                if origin != self._journal.origin
            ],
        )
        added, changed = self._remake(causes, keys)
        return actions, added, changed

    def conflicts(self) -> tuple[Conflict, ...]:
        """Every field that stands in conflict, in the order of their rows' first entries."""
        causes = Causes(self._connection)
        found = []
        for table, row_id in self._connection.rows(
            "SELECT j.kind, j.row_id FROM journal j JOIN journal_action a ON a.number = j.action "
            "GROUP BY j.kind, j.row_id HAVING count(DISTINCT a.origin) > 1 ORDER BY min(j.number)"
        ):
            kept = self._tables.fetch(BY_TABLE[table], row_id)
            if kept is None or kept.values[3] is not None:
                continue  # what was deleted needs no choice
            joined = joined_row(self._connection, causes, BY_TABLE[table], row_id)
            for field, values in joined.conflicts.items():
                found.append(
                    Conflict(
                        kind=table,
                        row_id=row_id,
                        field=field,
                        values=tuple(one.value for one in values),
                        origins=tuple(one.place.origin for one in values),
                        when_utc=tuple(one.when for one in values),
                    )
                )
        return tuple(found)

    def _copy_actions(self, other: Connection) -> tuple[int, set[Key]] | None:
        """Copy the actions this journal lacks, in their order; how many, and the rows of them."""
        told = self._connection.rows("SELECT action_id, number FROM journal_action")
        mine: dict[str, int] = dict(told)
        self._refuse_one_name(other, mine)
        newest, undo_next, redo_next = self._journal.ends()
        keys: set[Key] = set()
        numbers: dict[int, int] = {}
        brought = 0
        for number, action_id, when, what, doing, origin, answers in other.rows(
            "SELECT number, action_id, when_utc, what, doing, origin, answers "
            "FROM journal_action ORDER BY number"
        ):
            if action_id in mine:
                numbers[number] = mine[action_id]
                continue
            time_of(when)
            newest, brought = newest + 1, brought + 1
            numbers[number] = newest
            self._connection.run(
                "INSERT INTO journal_action VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (newest, action_id, when, what, doing, origin, numbers.get(answers), undo_next,
                 redo_next),
            )  # fmt: skip
            entries = other.rows(
                "SELECT kind, row_id, before, after FROM journal WHERE action = ? ORDER BY number",
                (number,),
            )
            self._connection.run_many(
                "INSERT INTO journal (action, kind, row_id, before, after) VALUES (?, ?, ?, ?, ?)",
                [(newest, *entry) for entry in entries],
            )
            keys.update((kind, row_id) for kind, row_id, _, _ in entries)
        return (brought, keys) if brought else None

    def _refuse_one_name(self, other: Connection, mine: dict[str, int]) -> None:
        """Copies that both went on under one name cannot be told apart; see Journal."""
        told = "SELECT action_id, origin FROM journal_action"
        theirs = dict(other.rows(told))
        own = {origin for action_id, origin in self._connection.rows(told)
               if action_id not in theirs}  # fmt: skip
        if own & {origin for action_id, origin in theirs.items() if action_id not in mine}:
            raise InvalidValue(
                "These notebooks are copies that both went on under one name: bring one into the "
                "other as a bundle instead."
            )

    def _copy_points(self, other: Connection) -> None:
        self._connection.run_many(
            "INSERT OR IGNORE INTO merge_point VALUES (?, ?, ?, ?)",
            other.rows("SELECT origin, after_turn, seen_origin, seen_turn FROM merge_point"),
        )

    def _remake(self, causes: Causes, keys: set[Key]) -> tuple[int, int]:
        """Make rows anew, with those they name; how many were added and changed."""
        made: dict[Key, Joined] = {}
        queue = list(keys)
        for key in queue:  # grows while it is walked
            if key in made:
                continue
            made[key] = self._joined(causes, key)
            queue += _named(BY_TABLE[key[0]], made[key])
        alive = self._alive(made)
        added = changed = 0
        for (table, row_id), joined in made.items():
            kind = BY_TABLE[table]
            record = joined.record
            if (table, row_id) in alive and record.values[3] is not None:
                record = kind.with_values(record, {"deleted_utc": None})
            before = self._tables.fetch(kind, row_id)
            if before == record:
                continue
            self._tables.write(kind, before, record)
            added += before is None
            changed += before is not None
        return added, changed

    def _joined(self, causes: Causes, key: Key) -> Joined:
        """A row of all entries; raises DamagedNotebook where they do not make one."""
        table, row_id = key
        kind = BY_TABLE.get(table)
        try:
            if kind is None:
                raise KeyError(table)
            joined = joined_row(self._connection, causes, kind, row_id)
            problems = kind.damages(joined.record)
            if joined.record.values[0] != row_id:
                problems.append("its entries are about another row")
        except (KeyError, ValueError, TypeError, AttributeError) as error:
            problems = [f"its entries cannot be read ({error})"]
        if problems:
            raise DamagedNotebook(
                "Nothing was merged, for the other notebook is damaged: the "
                f"{table} {row_id[:40]}: {problems[0]}. Run the check on it."
            )
        return joined

    def _alive(self, made: dict[Key, Joined]) -> set[Key]:
        """Rows that a row not deleted names: they stay with it, also where they were deleted by
        someone who did not know of it."""
        alive = [
            key
            for key, joined in made.items()
            if joined.record.values[3] is None or self._has_living(key, made)
        ]
        kept = set(alive)
        for key in alive:  # grows while it is walked
            for named in _named(BY_TABLE[key[0]], made[key]) if key in made else ():
                if named not in kept:
                    kept.add(named)
                    alive.append(named)
        return kept

    def _has_living(self, key: Key, made: dict[Key, Joined]) -> bool:
        """Whether a row outside of `made` that is not deleted names this one."""
        table, row_id = key
        for child in BY_TABLE.values():
            for reference in child.references:
                if reference.target != table:
                    continue
                for (child_id,) in self._connection.rows(
                    f"SELECT id FROM {child.table} WHERE {reference.field} = ? "
                    "AND deleted_utc IS NULL",
                    (row_id,),
                ):
                    if (child.table, child_id) not in made:
                        return True
        return False


def _named(kind: Kind, joined: Joined) -> Iterable[Key]:
    """The rows a row names."""
    held = dict(zip(kind.names, joined.record.values, strict=True))
    for reference in kind.references:
        named = held[reference.field]
        if named is not None:
            yield reference.target, str(named)
