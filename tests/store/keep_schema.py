"""Writes the notebook of each schema that tests/authorities keeps; run once for a new schema.

`python -m tests.store.keep_schema` adds what is missing and never touches a file that is there:
those are the files of the past.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from surveyapp.store import Notebook
from surveyapp.store.connection import Connection
from surveyapp.store.identity import SCHEMA
from surveyapp.store.journal import Journal
from surveyapp.store.opening import upgrade
from surveyapp.store.tables import Tables
from surveyapp.store.values import time_text
from surveyapp.store.writing import changes_of_save, take
from tests.store.one_of_each import DRAFT, GROUND, ROWS, rows_of

KEPT = Path(__file__).resolve().parent.parent / "authorities"
WHEN = datetime(2026, 5, 4, 18, 0, tzinfo=UTC)


def kept(schema: int) -> Path:
    """Where the notebook of a schema is kept."""
    return KEPT / f"notebook_schema_{schema}.sqlite"


def write_present_schema(path: Path) -> None:
    """A notebook of this program's schema: one row of every kind, a draft, some ground."""
    with Notebook.create(path, lambda: WHEN) as notebook:
        notebook.save(*ROWS, what="one of each")
        notebook.keep_draft(DRAFT)
        notebook.keep_setting("theme", "night")
        notebook.ground.replace(GROUND, "invented")


def write_schema_1(path: Path) -> None:
    """A notebook from before there was ground."""
    path.touch(exist_ok=False)
    upgrade(path, stop_before="ground")
    connection = Connection(path)
    connection.prepare()
    tables = Tables(connection)
    with connection.change():
        changes, _kept = changes_of_save(tables, *take(rows_of(1)), time_text(WHEN))
        for change in changes:
            tables.write(*change)
        Journal(connection, tables).append("one of each", time_text(WHEN), changes)
    connection.close()


if __name__ == "__main__":
    if not kept(1).exists():
        write_schema_1(kept(1))
    if not kept(SCHEMA).exists():
        write_present_schema(kept(SCHEMA))
