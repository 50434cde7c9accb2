"""One row out of the joined journals, field by field.

Of all changes of a field those count that no later change had seen. Is there one, it stands;
are there more, made without knowledge of each other, the one of the latest time stands, and the
others are a conflict to be shown. This follows from the set of actions alone, so it is the same
in whatever order notebooks are merged.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from surveyapp.store.causes import Causes, Place
from surveyapp.store.connection import Connection
from surveyapp.store.rows import Kind, Record

STAMPS = ("id", "created_utc", "changed_utc", "deleted_utc")


class Written(NamedTuple):
    """One value a field was given: when, by which action, and where that stands. The time is
    the row's own stamp, so that what was brought in out of a file counts as old as it is."""

    when: str
    action_id: str
    place: Place
    value: Any


@dataclass(frozen=True, slots=True)
class Joined:
    """A row as the journals make it: its record, and for each field in conflict all values
    given to it without knowledge of each other, the one that stands first."""

    record: Record
    conflicts: dict[str, tuple[Written, ...]]


def joined_row(connection: Connection, causes: Causes, kind: Kind, row_id: str) -> Joined:
    """The row that all entries of the journal make together."""
    entries = connection.rows(
        "SELECT a.number, a.action_id, j.before, j.after FROM journal j "
        "JOIN journal_action a ON a.number = j.action "
        "WHERE j.row_id = ? AND j.kind = ? ORDER BY j.number",
        (row_id, kind.table),
    )
    written: dict[str, list[Written]] = {}
    stamps: list[dict[str, Any]] = []
    for number, action_id, before, after in entries:
        new = json.loads(after)
        old = json.loads(before) if before is not None else None
        stamps.append(new)
        for name, value in new.items():
            if old is None or name not in old or old[name] != value:
                written.setdefault(name, []).append(
                    Written(str(new["changed_utc"]), action_id, causes.places[number], value)
                )
    held: dict[str, Any] = {}
    conflicts: dict[str, tuple[Written, ...]] = {}
    for name, values in written.items():
        heads = _unseen(values, causes)
        held[name] = heads[0].value
        if name not in STAMPS and any(one.value != heads[0].value for one in heads):
            conflicts[name] = tuple(heads)
    held["created_utc"] = min(stamp["created_utc"] for stamp in stamps)
    held["changed_utc"] = max(stamp["changed_utc"] for stamp in stamps)
    if _edited_beside(written, causes):
        held["deleted_utc"] = None
    return Joined(kind.from_json(json.dumps(held)), conflicts)


def _unseen(values: Sequence[Written], causes: Causes) -> list[Written]:
    """The values no later one had seen, the one that stands first."""
    if len({one.place.origin for one in values}) == 1:
        return [max(values, key=lambda one: one.place.turn)]
    heads = [
        one
        for one in values
        if not any(causes.has_seen(other.place, one.place) for other in values)
    ]
    return sorted(heads, key=lambda one: (one.when, one.action_id), reverse=True)


def _edited_beside(written: dict[str, list[Written]], causes: Causes) -> bool:
    """Whether a deletion stands that did not know of some edit of the row: then the row stays,
    for nothing entered may be lost."""
    deletions = [one for one in _unseen(written["deleted_utc"], causes) if one.value is not None]
    if not deletions:
        return False
    edits = [one for name, values in written.items() if name not in STAMPS for one in values]
    return any(
        not causes.has_seen(deletion.place, edit.place) and edit.place != deletion.place
        for deletion in deletions
        for edit in edits
        if not causes.has_seen(edit.place, deletion.place)
    )
