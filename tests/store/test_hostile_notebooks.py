"""Notebook files that somebody else has changed: told in one sentence, and nothing follows them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from surveyapp.errors import DamagedNotebook, NotANotebook, NotebookError
from surveyapp.model import Photo, Stop, Survey
from surveyapp.store import Notebook
from tests.store.conftest import NOON

ENDLESS = "WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c) SELECT n FROM c"


@pytest.fixture
def closed(notebook: Notebook, survey: Survey, picture: Callable[..., bytes]) -> Path:
    """A closed notebook with a survey, a stop and a photo."""
    notebook.save(Stop(id="stop", survey_id=survey.id, number=1, time_utc=NOON))
    notebook.add_photo(picture(), survey_id=survey.id)
    notebook.close()
    return notebook.path


def change(path: Path, sql: str) -> None:
    """Change a closed notebook as another program may."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript(sql)


@pytest.mark.parametrize(
    "sql",
    [
        "CREATE TRIGGER t AFTER INSERT ON journal_action BEGIN DELETE FROM photo; END;",
        f"ALTER TABLE remark RENAME TO kept; CREATE VIEW remark AS {ENDLESS};",
    ],
    ids=["trigger", "view"],
)
@pytest.mark.parametrize("checked_bytes", [0, 16 * 2**20], ids=["large", "small"])
def test_a_file_that_would_run_commands_is_not_opened(
    sql: str, checked_bytes: int, closed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A trigger once emptied the photos at the next save; a view can keep a program for ever."""
    monkeypatch.setattr("surveyapp.store.opening.CHECKED_BYTES", checked_bytes)
    change(closed, sql)
    with pytest.raises(NotANotebook, match="which no notebook has"):
        Notebook.open(closed)


def test_a_photo_that_names_another_file_leads_nowhere(closed: Path, tmp_path: Path) -> None:
    """A photo named '../secret' once let a backup write outside its folder of pictures, and an
    export carry any file off the machine."""
    (tmp_path / "secret").write_bytes(b"secret")
    (tmp_path / "copies").mkdir()
    change(closed, "UPDATE photo SET file = '../secret'")
    with Notebook.open(closed) as notebook:
        (damage,) = notebook.check()
        notebook.backup_to(tmp_path / "copies" / "copy")
        photos = notebook.all(Photo)
        with pytest.raises(NotebookError, match="is missing"):
            notebook.pictures_of(photos)
        assert notebook.pictures_of(photos, all_of_them=False) == {}

    assert "SHA-256" in damage
    assert [path.name for path in (tmp_path / "copies").rglob("*")] == ["copy"]


OF_STOP = "WHERE kind = 'stop'"


@pytest.mark.parametrize(
    ("sql", "is_told_by_check"),
    [
        (f"UPDATE journal SET kind = 'mast' {OF_STOP}", True),
        (f"UPDATE journal SET after = '{{' {OF_STOP}", True),
        (f"UPDATE journal SET after = '[]' {OF_STOP}", True),
        (f"UPDATE journal SET after = '{{}}' {OF_STOP}", False),
        (f"UPDATE journal SET after = json_set(after, '$.lat_deg', 95.0) {OF_STOP}", False),
        (f"UPDATE journal SET after = json_set(after, '$.id', 'other') {OF_STOP}", False),
        (f"UPDATE journal SET after = json_set(after, '$.survey_id', 'none') {OF_STOP}", False),
        ("UPDATE journal_action SET when_utc = 'never'", True),
    ],
)
def test_a_damaged_journal_is_never_merged(
    sql: str, is_told_by_check: bool, closed: Path, tmp_path: Path
) -> None:
    """A journal another program spoilt once ended the merge with an error of Python's own, or
    brought a latitude of 95 in; now nothing of it comes in."""
    change(closed, sql)
    with Notebook.create(tmp_path / "mine") as mine, Notebook.open(closed) as other:
        with pytest.raises(DamagedNotebook):
            mine.merge_from(other)

        assert mine.rows_of() == []
        assert mine.history() == []
        assert mine.check() == []
        assert (other.check() != []) == is_told_by_check


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE journal SET row_id = 'gone'",
        "UPDATE journal SET kind = 'mast'",
        "UPDATE journal_action SET undo_next = 77",
    ],
)
def test_undo_over_a_journal_that_names_what_is_not_there_says_so(sql: str, closed: Path) -> None:
    """Damage in the journal once ended undo with an assertion; nothing is changed by it."""
    change(closed, sql)
    with Notebook.open(closed) as notebook:
        before = notebook.rows_of()
        with pytest.raises(DamagedNotebook, match="open a backup"):
            notebook.undo()

        assert notebook.rows_of() == before


@pytest.mark.parametrize("value", ["'2026-05-04T12:00:.02Z'", "'noon'", "7"])
def test_a_row_whose_time_is_none_is_told_where_it_is_read(value: str, closed: Path) -> None:
    """A flipped byte in a stop's time once ended the program with Python's own complaint; the
    check names it too."""
    change(closed, f"UPDATE stop SET time_utc = {value}")
    with Notebook.open(closed) as notebook:
        with pytest.raises(DamagedNotebook, match="A stop of the notebook holds"):
            notebook.all(Stop)

        assert notebook.check() != []


@pytest.mark.parametrize(
    "use",
    [Notebook.undo, lambda notebook: notebook.versions(Stop, "stop")],
    ids=["undo", "versions"],
)
def test_a_damaged_entry_is_told_where_it_is_used(
    use: Callable[[Notebook], object], closed: Path
) -> None:
    """Undo over an entry that is no JSON says so and changes nothing."""
    change(closed, "UPDATE journal SET after = '{'")
    with Notebook.open(closed) as notebook:
        before = notebook.rows_of()
        with pytest.raises(DamagedNotebook, match="open a backup"):
            use(notebook)

        assert notebook.rows_of() == before
