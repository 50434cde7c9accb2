"""Rows that come from elsewhere with their own stamps: what they change, worked out first.

A row the notebook lacks is taken as it is, stamps and all. One it holds already is overwritten
only by a newer one; where the arriving row has no stamp, the notebook's stays. So the same
rows may arrive any number of times.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from surveyapp.errors import InvalidValue
from surveyapp.model import Photo, Row
from surveyapp.store.journal import Change
from surveyapp.store.rows import Kind, Record, kind_of, title_of
from surveyapp.store.tables import Tables
from surveyapp.store.values import Stored


@dataclass(frozen=True, kw_only=True, slots=True)
class Refused:
    """A row that cannot come in, and all that is wrong with it."""

    row: Row
    problems: tuple[str, ...]

    def __str__(self) -> str:
        return f"{title_of(self.row)}: {', '.join(self.problems)}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrival:
    """How many rows were added, changed, already there, or older than what is there; and the
    rows that were refused."""

    added: int
    changed: int
    same: int
    older: int
    refused: tuple[Refused, ...]


class _Arriving(NamedTuple):
    row: Row
    kind: Kind
    record: Record


def changes_of_arrival(
    tables: Tables,
    rows: Sequence[Row],
    now: Stored,
    has_picture: Callable[[str], bool],
    all_or_nothing: bool,
) -> tuple[list[Change], Arrival]:
    """The changes that the faultless ones of `rows` make, and what became of all of them.

    A row that names a refused one is refused with it. Raises InvalidValue with all problems
    where one is refused and `all_or_nothing` holds.
    """
    good, refused = _sorted_out(tables, rows, has_picture)
    if refused and all_or_nothing:
        told = tuple(str(one) for one in refused)
        raise InvalidValue(
            f"Nothing was brought in, for some rows are wrong: {'; '.join(told)}.",
            value=refused,
            problems=told,
        )
    changes: list[Change] = []
    same = older = 0
    for _, kind, record in good:
        before = tables.fetch(kind, str(record.values[0]))
        if before is not None and before.holds(record):
            same += 1
        elif before is not None and _is_newer(before, record):
            older += 1
        else:
            changes.append(Change(kind, before, _stamped(before, record, now)))
    added = sum(change.before is None for change in changes)
    arrival = Arrival(
        added=added,
        changed=len(changes) - added,
        same=same,
        older=older,
        refused=tuple(refused),
    )
    return changes, arrival


def refusals_of(
    tables: Tables, rows: Sequence[Row], has_picture: Callable[[str], bool]
) -> tuple[Refused, ...]:
    """The rows that could not come in, and why."""
    return tuple(_sorted_out(tables, rows, has_picture)[1])


def _sorted_out(
    tables: Tables, rows: Sequence[Row], has_picture: Callable[[str], bool]
) -> tuple[list[_Arriving], list[Refused]]:
    """The rows that can come in, and the others."""
    good, refused = _judged(rows, has_picture)
    refused += _loose_ends(tables, good)
    return good, refused


def _judged(
    rows: Sequence[Row], has_picture: Callable[[str], bool]
) -> tuple[list[_Arriving], list[Refused]]:
    """Rows that are right by themselves, and the others."""
    good: list[_Arriving] = []
    refused: list[Refused] = []
    seen: set[str] = set()
    for row in rows:
        kind = kind_of(type(row))
        record, problems = kind.record(row)
        if row.id in seen:
            problems.append("is given twice")
        if isinstance(row, Photo) and not problems and not has_picture(row.file):
            problems.append("its picture did not come with it")
        seen.add(row.id)
        if problems:
            refused.append(Refused(row=row, problems=tuple(problems)))
        else:
            good.append(_Arriving(row, kind, record))
    return good, refused


def _loose_ends(tables: Tables, good: list[_Arriving]) -> list[Refused]:
    """Take the rows out of `good` whose references lead nowhere, until none is left."""
    refused: list[Refused] = []
    while True:
        together: set[tuple[str, Stored]] = {
            (kind.table, record.values[0]) for _, kind, record in good
        }
        lost = [
            Refused(row=row, problems=tuple(problems))
            for row, kind, record in good
            if (problems := tables.dangling(kind, record, together))
        ]
        if not lost:
            return refused
        refused += lost
        gone = {one.row.id for one in lost}
        good[:] = [one for one in good if one.row.id not in gone]


def _is_newer(before: Record, record: Record) -> bool:
    """Whether the notebook's row stands against the arriving one."""
    if before.values[3] is not None:  # deleted here; it was asked for again
        return False
    kept, arriving = before.values[2], record.values[2]
    return arriving is None or str(kept) >= str(arriving)


def _stamped(before: Record | None, record: Record, now: Stored) -> Record:
    row_id, created, changed = record.values[:3]
    first = created or (before.values[1] if before else None) or changed or now
    return Record((row_id, first, changed or now, None, *record.values[4:]), record.nested)
