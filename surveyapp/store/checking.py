"""Whether a notebook is whole: its pages, its references, its rows and its pictures."""

from __future__ import annotations

from surveyapp.errors import NotebookError
from surveyapp.store.connection import Connection
from surveyapp.store.journal import time_of
from surveyapp.store.photos import PhotoFolder, is_picture_name
from surveyapp.store.rows import BY_TABLE, KINDS, Kind
from surveyapp.store.tables import Tables

GROUND = ("ground_street", "ground_building", "ground_furniture")


def damages(connection: Connection, tables: Tables) -> list[str]:
    """Every damage of the file found, one sentence each; empty where it is whole."""
    try:
        found = [
            f"The file is damaged: {said}."
            for (said,) in connection.rows("PRAGMA integrity_check(20)")
            if said != "ok"
        ]
        for table, number, target, _key in connection.rows("PRAGMA foreign_key_check"):
            found.append(f"Row {number} of {table} names a row of {target} that does not exist.")
        for kind in KINDS.values():
            found.extend(_unreadable(connection, tables, kind))
        found.extend(_journal_damages(connection))
        for table in GROUND:
            said = connection.one("SELECT rtreecheck(?)", (table,))
            if said != ("ok",):
                found.append(f"The ground is damaged ({table}): bring its file in again.")
    except NotebookError as error:
        return [str(error)]
    return found


def _unreadable(connection: Connection, tables: Tables, kind: Kind) -> list[str]:
    """Rows whose values are no longer what the model allows."""
    found: list[str] = []
    for (row_id,) in connection.each(f"SELECT id FROM {kind.table} ORDER BY rowid"):
        record = tables.fetch(kind, row_id)
        problems = kind.damages(record) if record else ["has gone"]
        found.extend(f"The {kind.word} {row_id}: {problem}." for problem in problems)
    return found


def _journal_damages(connection: Connection) -> list[str]:
    """Entries that undo and merging could not use."""
    found: list[str] = []
    for number, when in connection.each("SELECT number, when_utc FROM journal_action"):
        try:
            time_of(when)
        except NotebookError:
            found.append(f"The time of action {number} in the journal cannot be read.")
    for number, table, before, after in connection.each(
        "SELECT number, kind, before, after FROM journal ORDER BY number"
    ):
        kind = BY_TABLE.get(table)
        try:
            if kind is None:
                found.append(f"Entry {number} of the journal is about no kind of row: '{table}'.")
                continue
            for text in (before, after):
                if text is not None:
                    kind.from_json(text)
        except NotebookError:
            found.append(f"Entry {number} of the journal, about a {table}, cannot be read.")
    return found


def picture_damages(connection: Connection, photos: PhotoFolder) -> list[str]:
    """Every picture of a photo that is missing or changed, one sentence each."""
    names = connection.rows("SELECT DISTINCT file FROM photo WHERE deleted_utc IS NULL")
    held = [str(name) for (name,) in names if is_picture_name(name)]
    return [damage for name in held if (damage := photos.damage(name)) is not None]
