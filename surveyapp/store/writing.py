"""What a save or a deletion changes, worked out before anything is written."""

from __future__ import annotations

from collections.abc import Sequence

from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import Row
from surveyapp.store.journal import Change
from surveyapp.store.rows import Kind, Record, kind_of, title_of
from surveyapp.store.tables import Tables
from surveyapp.store.values import Stored, stamp_after

Taken = list[tuple[Kind, Record, str]]
"""Rows taken in: kind, record, and how to call the row in a message."""


def take(rows: Sequence[Row]) -> tuple[Taken, list[str]]:
    """The records of rows about to be saved, and all that is wrong in them."""
    taken: Taken = []
    problems: list[str] = []
    seen: set[str] = set()
    for row in rows:
        kind, title = kind_of(type(row)), title_of(row)
        record, wrong = kind.record(row)
        if row.id in seen:
            wrong.append("is given twice")
        seen.add(row.id)
        problems += [f"{title}: {problem}" for problem in wrong]
        taken.append((kind, record, title))
    return taken, problems


def changes_of_save(
    tables: Tables, taken: Taken, problems: Sequence[str], now: Stored
) -> tuple[list[Change], list[Record]]:
    """The changes that saving makes, and every row's record afterwards.

    A row that differs from the one kept only in its stamps changes nothing. Raises
    InvalidValue with the `problems` found before and all references that lead nowhere.
    """
    together: set[tuple[str, Stored]] = {(kind.table, item.values[0]) for kind, item, _ in taken}
    changes: list[Change] = []
    kept: list[Record] = []
    problems = list(problems)
    for kind, record, title in taken:
        problems += [f"{title}: {told}" for told in tables.dangling(kind, record, together)]
        row_id = record.values[0]
        before = tables.fetch(kind, str(row_id))
        if before is not None and before.holds(record):
            kept.append(before)
            continue
        created, changed = (now, now) if before is None else before.values[1:3]
        changed = stamp_after(now, changed)
        after = Record((row_id, created, changed, None, *record.values[4:]), record.nested)
        changes.append(Change(kind, before, after))
        kept.append(after)
    if problems:
        told = "; ".join(problems)
        raise InvalidValue(f"{told[0].upper()}{told[1:]}.", value=taken, problems=problems)
    return changes, kept


def changes_of_deletion(tables: Tables, rows: Sequence[Row], now: Stored) -> list[Change]:
    """The changes that deleting rows makes: they go, what belongs to them follows, and fields
    of other rows that name them are emptied. NotFound where a row is not in the notebook."""
    doomed = []
    for row in rows:
        kind = kind_of(type(row))
        record = tables.fetch(kind, row.id)
        if record is None:
            raise NotFound(f"The {title_of(row)} is not in the notebook: nothing was deleted.")
        if record.values[3] is None:
            doomed.append((kind, row.id))
    gone, loosened = tables.followers(doomed)
    new: dict[tuple[Kind, str], dict[str, Stored]] = {key: {"deleted_utc": now} for key in gone}
    for kind, row_id, field in loosened:
        new.setdefault((kind, row_id), {})[field] = None
    changes = []
    for (kind, row_id), values in new.items():
        before = tables.fetch(kind, row_id)
        assert before is not None, "it was found a moment ago in this transaction"
        values["changed_utc"] = stamp_after(now, before.values[2])
        changes.append(Change(kind, before, kind.with_values(before, values)))
    return changes


def said_of_save(taken: Taken, changes: Sequence[Change]) -> str:
    """What a save is called where the caller gave it no name."""
    if len(taken) == 1:
        return f"{'added' if changes[0].before is None else 'changed'} {taken[0][2]}"
    return f"saved {len(changes)} entries" if len(changes) > 1 else "saved one entry"


def said_of_deletion(rows: Sequence[Row], changes: Sequence[Change]) -> str:
    """What a deletion is called where the caller gave it no name."""
    followed = sum(change.after.values[3] is not None for change in changes) - len(rows)
    first = title_of(rows[0]) if len(rows) == 1 else f"{len(rows)} entries"
    if followed <= 0:
        return f"deleted {first}"
    return f"deleted {first} with {followed} {'entry' if followed == 1 else 'entries'} of it"
