"""The journal: every change as an action of one or more rows, before and after; undo and redo.

It is only ever appended to. Undoing and redoing are actions too, so both survive a restart and
both can be merged. Each action notes which action undo and redo would take up after it: that
makes two chains through the journal, and neither needs a search.
"""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from surveyapp.errors import DamagedNotebook
from surveyapp.model import new_id
from surveyapp.store.connection import Connection
from surveyapp.store.rows import BY_TABLE, Kind, Record
from surveyapp.store.tables import Tables
from surveyapp.store.values import Stored, damaged, stamp_after


class Change(NamedTuple):
    """One row's record before (None where it is new) and after an action."""

    kind: Kind
    before: Record | None
    after: Record


@dataclass(frozen=True, kw_only=True, slots=True)
class HistoryEntry:
    """One action of the journal. `doing` is 'done', 'undone' or 'redone'; `rows` are pairs of
    a kind's table and a row's id; `origin` is the notebook the action was made in."""

    action_id: str
    when_utc: datetime
    what: str
    doing: str
    origin: str
    rows: tuple[tuple[str, str], ...]


_NEWEST = "SELECT number, undo_next, redo_next FROM journal_action ORDER BY number DESC LIMIT 1"
_BEFORE = (
    "SELECT number, undo_next, redo_next FROM journal_action WHERE number < ? "
    "ORDER BY number DESC LIMIT 1"
)
_ACTION = "INSERT INTO journal_action VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
_ENTRY = "INSERT INTO journal (action, kind, row_id, before, after) VALUES (?, ?, ?, ?, ?)"


class Journal:
    """The journal behind one connection. Its methods run inside the caller's transaction."""

    def __init__(self, connection: Connection, tables: Tables) -> None:
        self._connection = connection
        self._tables = tables
        self.origin = ""
        self._home: str | None = None
        self._read_name()
        self._here = here(connection.path)

    def ends(self) -> tuple[int, int | None, int | None]:
        """Number of the newest action, and of those that undo and redo would take up."""
        newest = self._connection.one(_NEWEST)
        return (newest[0], newest[1], newest[2]) if newest else (0, None, None)

    def append(self, what: str, when: Stored, changes: Sequence[Change]) -> None:
        """Note a new action. What had been undone can no longer be redone."""
        number = self.ends()[0] + 1
        self._note(number, what, when, "done", None, (number, None), changes)

    def undo(self, when: Stored) -> str | None:
        """Take back the last action that stands; its text, or None where there is none."""
        newest, undo_next, _redo_next = self.ends()
        if undo_next is None:
            return None
        earlier = self._connection.one(_BEFORE, (undo_next,))
        chains = (earlier[1] if earlier else None, newest + 1)
        return self._answer(newest + 1, undo_next, "undone", when, chains)

    def redo(self, when: Stored) -> str | None:
        """Do again what was undone last; its text, or None where there is nothing."""
        newest, _undo_next, redo_next = self.ends()
        if redo_next is None:
            return None
        earlier = self._connection.one(_BEFORE, (redo_next,))
        chains = (newest + 1, earlier[2] if earlier else None)
        return self._answer(newest + 1, redo_next, "redone", when, chains)

    def history(self, limit: int) -> list[HistoryEntry]:
        """The newest actions, newest first."""
        found = self._connection.rows(
            "SELECT number, action_id, when_utc, what, doing, origin FROM journal_action "
            "ORDER BY number DESC LIMIT ?",
            (limit,),
        )
        return [
            HistoryEntry(
                action_id=action_id,
                when_utc=time_of(when),
                what=what,
                doing=doing,
                origin=origin,
                rows=tuple(
                    (kind, row_id)
                    for kind, row_id in self._connection.rows(
                        "SELECT kind, row_id FROM journal WHERE action = ? ORDER BY number",
                        (number,),
                    )
                ),
            )
            for number, action_id, when, what, doing, origin in found
        ]

    def versions(self, kind: Kind, row_id: str) -> list[Record]:
        """A row after each change of it, oldest first."""
        found = self._connection.rows(
            "SELECT after FROM journal WHERE row_id = ? AND kind = ? ORDER BY number",
            (row_id, kind.table),
        )
        return [kind.from_json(after) for (after,) in found]

    def _answer(
        self,
        number: int,
        answered: int,
        doing: str,
        when: Stored,
        chains: tuple[int | None, int | None],
    ) -> str:
        """Put back what action `answered` changed, as a new action of the same text."""
        found = self._connection.one(
            "SELECT what FROM journal_action WHERE number = ?", (answered,)
        )
        if found is None:
            raise damaged("The journal is damaged, an action it names is missing")
        entries = self._connection.rows(
            "SELECT kind, row_id, before, after FROM journal WHERE action = ? ORDER BY number DESC",
            (answered,),
        )
        changes = [self._put_back(when, *entry) for entry in entries]
        self._note(number, found[0], when, doing, answered, chains, changes)
        return str(found[0])

    def _put_back(
        self, when: Stored, table: str, row_id: str, before: str | None, after: str
    ) -> Change:
        """Take back one row's change, field by field: what others changed since then stays."""
        kind = BY_TABLE.get(table)
        if kind is None:
            raise damaged(f"The journal is damaged, it tells of a '{table}'")
        now = self._tables.fetch(kind, row_id)
        if now is None:  # rows are never removed from their table
            raise damaged(f"The journal is damaged, a {kind.word} it tells of is missing")
        changed = stamp_after(when, now.values[2])
        new = kind.from_json(after)
        if before is None:
            put = kind.with_values(now, {"changed_utc": changed, "deleted_utc": when})
        else:
            old = kind.from_json(before)
            pairs = zip(kind.names, old.values, new.values, strict=True)
            back = {name: was for name, was, became in pairs if was != became}
            put = kind.with_values(now, back | {"changed_utc": changed})
            if old.nested != new.nested:
                put = Record(put.values, old.nested)
        self._tables.write(kind, now, put)
        return Change(kind, now, put)

    def _note(
        self,
        number: int,
        what: str,
        when: Stored,
        doing: str,
        answers: int | None,
        chains: tuple[int | None, int | None],
        changes: Sequence[Change],
    ) -> None:
        self._read_name()  # a backup may have been put in this file's place meanwhile
        if self._home != self._here:
            self._move_in()
        run = self._connection.run
        run(_ACTION, (number, new_id(), when, what, doing, self.origin, answers, *chains))
        for kind, before, after in changes:
            earlier = None if before is None else kind.json(before)
            run(_ENTRY, (number, kind.table, after.values[0], earlier, kind.json(after)))

    def _read_name(self) -> None:
        found = self._connection.one("SELECT origin, home FROM notebook")
        if found is not None:
            self.origin, self._home = found

    def _move_in(self) -> None:
        """A copied or moved file goes on under a name of its own, so that two copies that both
        go on can be told apart when they are merged. It knows all that was done before."""
        known = self._connection.rows("SELECT origin, count(*) FROM journal_action GROUP BY origin")
        if known:
            self.origin = new_id()
        self._connection.run_many(
            "INSERT INTO merge_point VALUES (?, 0, ?, ?)",
            [(self.origin, origin, count) for origin, count in known],
        )
        self._home = self._here
        self._connection.run("UPDATE notebook SET origin = ?, home = ?", (self.origin, self._home))


def time_of(when: str) -> datetime:
    """When an action was done; raises DamagedNotebook where that is no time."""
    try:
        return datetime.fromisoformat(when)
    except ValueError:
        raise DamagedNotebook(
            f"The journal holds an action whose time, '{when[:40]}', cannot be read: keep the "
            "notebook as it is and open a backup."
        ) from None


def here(path: Path) -> str:
    """What tells this file, in its place on this machine, from a copy of it."""
    found = path.stat()
    told = f"{platform.node()}|{path.absolute()}|{found.st_dev}|{found.st_ino}"
    return hashlib.sha256(told.encode("utf-8", "surrogateescape")).hexdigest()
