"""A copy made while the notebook is open, and the check of the whole."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from surveyapp.errors import NotebookError
from surveyapp.model import Photo, Site, Survey
from surveyapp.store import Notebook
from tests.store.one_of_each import ROWS


def test_a_backup_is_a_whole_notebook(
    notebook: Notebook, survey: Survey, picture: Callable[..., bytes], tmp_path: Path
) -> None:
    """Rows, journal and pictures as they stood, deleted ones too; both go their own ways."""
    photo = notebook.add_photo(picture(), survey_id=survey.id)
    deleted = notebook.add_photo(picture("red"), survey_id=survey.id)
    notebook.delete(deleted)
    notebook.backup_to(tmp_path / "copy.survey")
    notebook.save(Site(name="later"))
    with Notebook.open(tmp_path / "copy.survey") as copy:
        assert copy.get(Photo, photo.id) == photo
        assert copy.count(Site) == 0
        copy.undo()
        assert copy.get(Photo, deleted.id).file == deleted.file
        assert copy.check() == []


def test_a_backup_never_writes_over_anything(notebook: Notebook, tmp_path: Path) -> None:
    """What is there stays, and no half-made file is left."""
    (tmp_path / "copy.survey").write_bytes(b"precious")
    before = {path.name for path in tmp_path.iterdir()}
    with pytest.raises(NotebookError, match="already something"):
        notebook.backup_to(tmp_path / "copy.survey")

    assert (tmp_path / "copy.survey").read_bytes() == b"precious"
    assert {path.name for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("UPDATE sighting SET site_id = 'nowhere'", "does not exist"),
        ("UPDATE site SET kind = 'mast'", "cannot be read"),
        ("UPDATE stop SET time_utc = 'yesterday'", "cannot be read"),
        ("UPDATE stop SET lat_deg = 95", "latitude"),
    ],
)
def test_the_check_names_rows_that_another_program_spoilt(
    sql: str, said: str, notebook: Notebook
) -> None:
    """What SQLite lets pass but the model does not allow is told."""
    notebook.save(*(row for row in ROWS if not isinstance(row, Photo)))
    whole = notebook.check()
    raw = sqlite3.connect(notebook.path)
    raw.execute(sql)
    raw.commit()
    raw.close()
    found = notebook.check()

    assert whole == []
    assert len(found) == 1
    assert said in found[0]
