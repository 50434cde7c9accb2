"""Whether a notebook is whole: its pages, its references, its rows and its pictures."""

from __future__ import annotations

from surveyapp.errors import NotebookError, SurveyError
from surveyapp.store.connection import Connection
from surveyapp.store.photos import PhotoFolder
from surveyapp.store.rows import KINDS, Kind
from surveyapp.store.tables import Tables


def damages(connection: Connection, tables: Tables, photos: PhotoFolder) -> list[str]:
    """Every damage found, one sentence each; empty where the notebook is whole."""
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
        found.extend(_photo_damages(connection, photos))
    except NotebookError as error:
        return [str(error)]
    return found


def _unreadable(connection: Connection, tables: Tables, kind: Kind) -> list[str]:
    """Rows whose values are no longer what the model allows."""
    found: list[str] = []
    for (row_id,) in connection.rows(f"SELECT id FROM {kind.table} ORDER BY rowid"):
        record = tables.fetch(kind, row_id)
        try:
            problems = kind.record(kind.row(record))[1] if record else ["has gone"]
        except (KeyError, ValueError, TypeError, SurveyError) as error:
            problems = [f"cannot be read ({error})"]
        found.extend(f"The {kind.word} {row_id}: {problem}." for problem in problems)
    return found


def _photo_damages(connection: Connection, photos: PhotoFolder) -> list[str]:
    names = connection.rows("SELECT DISTINCT file FROM photo WHERE deleted_utc IS NULL")
    return [damage for (name,) in names if (damage := photos.damage(str(name))) is not None]
