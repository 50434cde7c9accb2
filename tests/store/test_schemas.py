"""Notebooks of every schema there has been."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from surveyapp.errors import NotebookError
from surveyapp.model import Site
from surveyapp.store import Notebook
from surveyapp.store.identity import SCHEMA
from surveyapp.store.rows import KINDS
from surveyapp.store.schema import STEPS
from tests.store.keep_schema import kept
from tests.store.one_of_each import DRAFT, GROUND, rows_of


def test_every_schema_has_its_step_and_its_kept_notebook() -> None:
    """A new step without its number, or without its file, fails here."""
    assert len(STEPS._migrations) == SCHEMA
    for schema in range(1, SCHEMA + 1):
        header = kept(schema).read_bytes()[:100]

        assert int.from_bytes(header[60:64], "big") == schema


@pytest.mark.parametrize("schema", range(1, SCHEMA + 1))
def test_a_notebook_of_every_schema_opens(schema: int, tmp_path: Path) -> None:
    """It is upgraded, holds what it held, undo included, and takes what is new."""
    path = tmp_path / "old.survey"
    shutil.copy(kept(schema), path)
    with Notebook.open(path) as notebook:
        for row in rows_of(schema):
            held = notebook.get(type(row), row.id)

            assert {name: getattr(held, name) for name in KINDS[type(row)].names[4:]} == {
                name: getattr(row, name) for name in KINDS[type(row)].names[4:]
            }
            assert getattr(held, "carriers", ()) == getattr(row, "carriers", ())
        if schema >= 2:
            assert notebook.drafts() == [DRAFT]
            assert notebook.setting("theme") == "night"
            assert notebook.ground.within(60.0, 24.0, 61.0, 25.0) == GROUND
        notebook.ground.replace(GROUND, "a file")
        assert [said for said in notebook.check() if "picture" not in said] == []
        assert notebook.undo() == "one of each"
        assert notebook.count(Site) == 0
    assert int.from_bytes(path.read_bytes()[60:64], "big") == SCHEMA


def test_an_upgrade_that_fails_leaves_the_old_notebook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A step is done whole or not at all; the next opening tries again."""
    path = tmp_path / "old.survey"
    shutil.copy(kept(1), path)
    with monkeypatch.context() as broken:
        broken.setattr("surveyapp.store.schema.GROUND", "CREATE TABLE half (a); CREATE NONSENSE;")
        with pytest.raises(NotebookError):
            Notebook.open(path)
    raw = sqlite3.connect(path)
    tables = {name for (name,) in raw.execute("SELECT name FROM sqlite_schema")}
    raw.close()

    assert "half" not in tables
    with Notebook.open(path) as notebook:
        assert notebook.count(Site) == 1
