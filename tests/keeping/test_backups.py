"""Dated backups with a limit, and a notebook restored while it is in use."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest

from surveyapp import keeping
from surveyapp.errors import FormatError, LockedNotebook, NotebookError
from surveyapp.exchange.files import new_temporary_folder, temporary_folder
from surveyapp.keeping import (
    BEFORE,
    DAILY,
    back_up,
    back_up_daily,
    backups_in,
    dated,
    restore_over,
    restore_to,
)
from surveyapp.model import Photo, Site, Survey
from surveyapp.store.keeping import photo_folder_of
from surveyapp.store.notebook import Notebook
from tests.exchange.survey_contents import picture_with_facts
from tests.store.conftest import TickingClock

MORNING = datetime(2026, 6, 1, 8, 30, tzinfo=UTC)


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    """A notebook with a survey, a site and a picture."""
    clock = TickingClock()
    clock.now = MORNING - timedelta(hours=1)
    with Notebook.create(tmp_path / "walk.notebook", clock) as made:
        made.save(Survey(id="survey", title="Walk"), Site(id="site", name="Mole 1"))
        made.add_photo(picture_with_facts(), survey_id="survey")
        yield made


def at(notebook: Notebook, moment: datetime) -> None:
    """Set the notebook's clock."""
    notebook._clock.now = moment  # type: ignore[attr-defined]


def test_a_day_gets_one_backup_and_the_newest_stay(notebook: Notebook, tmp_path: Path) -> None:
    """Ten days with changes leave the last three; those made by hand are never removed."""
    folder = tmp_path / "backups"
    back_up(notebook, dated(notebook.path, folder, MORNING - timedelta(days=3)))
    for day in range(10):
        now = MORNING + timedelta(days=day)
        at(notebook, now - timedelta(minutes=5))
        notebook.save(Site(name=f"Of day {day}"))
        assert back_up_daily(notebook, folder, now, 3) is not None
        assert back_up_daily(notebook, folder, now + timedelta(hours=2), 3) is None

    assert [(one.made.day, one.why) for one in backups_in(folder, notebook.path)] == [
        (10, DAILY), (9, DAILY), (8, DAILY), (29, ""),
    ]  # fmt: skip


def test_a_day_without_changes_gets_none(notebook: Notebook, tmp_path: Path) -> None:
    """An empty notebook and one that nobody wrote in are not copied again."""
    folder = tmp_path / "backups"
    assert back_up_daily(notebook, folder, MORNING, 3) is not None
    assert back_up_daily(notebook, folder, MORNING + timedelta(days=5), 3) is None
    with Notebook.create(tmp_path / "empty") as empty:
        assert back_up_daily(empty, folder, MORNING, 3) is None


def test_a_backup_dated_in_the_future_does_not_stop_the_daily_ones(
    notebook: Notebook, tmp_path: Path
) -> None:
    """After a day with a wrong clock the next right day gets its backup."""
    folder = tmp_path / "backups"
    back_up_daily(notebook, folder, MORNING + timedelta(days=4000), 3)

    assert back_up_daily(notebook, folder, MORNING, 3) is not None


def test_only_ones_own_backups_are_listed(notebook: Notebook, tmp_path: Path) -> None:
    """Another notebook's, and names that are no date, are passed over."""
    folder = tmp_path / "backups"
    folder.mkdir()
    for name in ("other 2026-06-01 083000.backup.zip", "walk 2026-13-41 083000.backup.zip",
                 "walk notes.backup.zip", "walk 2026-06-01 083000 daily.backup.zip"):  # fmt: skip
        (folder / name).write_bytes(b"x")

    assert [(one.made, one.size_bytes) for one in backups_in(folder, notebook.path)] == [
        (datetime(2026, 6, 1, 8, 30), 1)
    ]


def test_no_backup_is_begun_where_the_disk_has_no_room(
    notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence instead of a full disk in the middle of a survey."""
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(keeping.shutil, "disk_usage", lambda _: usage._replace(free=10**6))
    with pytest.raises(NotebookError, match="has no room"):
        back_up(notebook, tmp_path / "b.zip")

    assert not (tmp_path / "b.zip").exists()


def test_a_backup_takes_the_place_of_an_open_notebook(notebook: Notebook, tmp_path: Path) -> None:
    """Who has it open sees the old rows at once, undo of then included, and goes on writing;
    what stood there meanwhile is in the backup made before, and can be merged back."""
    out, before = tmp_path / "b.zip", dated(notebook.path, tmp_path, MORNING, BEFORE)
    back_up(notebook, out)
    notebook.save(Site(id="later", name="Later"))
    with Notebook.open(notebook.path) as other:
        restored = restore_over(out, other, before)
        assert restored.rows == 3
        assert restored.pictures_lost == ()
    assert {site.id for site in notebook.all(Site)} == {"site"}
    notebook.save(Site(id="anew", name="Anew"))
    restore_to(before, tmp_path / "kept")
    with Notebook.open(tmp_path / "kept") as kept:
        assert {site.id for site in kept.all(Site)} == {"site", "later"}
        notebook.merge_from(kept)

    assert {site.id for site in notebook.all(Site)} == {"site", "later", "anew"}
    assert notebook.undo() == "added site Anew"
    assert notebook.check() == []


def test_a_backup_that_is_refused_leaves_the_notebook_as_it_is(
    notebook: Notebook, tmp_path: Path
) -> None:
    """A damaged backup changes nothing, and no backup of before is made for it."""
    out, before = tmp_path / "b.zip", tmp_path / "before.zip"
    back_up(notebook, out)
    held = out.read_bytes()
    out.write_bytes(held[: len(held) // 2])
    rows = notebook.rows_of()
    with pytest.raises(FormatError, match="fetch it again"):
        restore_over(out, notebook, before)

    assert notebook.rows_of() == rows
    assert not before.exists()


def test_a_notebook_that_lost_a_picture_can_still_be_restored(
    notebook: Notebook, tmp_path: Path
) -> None:
    """A backup of it was once refused as damaged: now the lost picture is told, the rest comes."""
    name = notebook.all(Photo)[0].file
    (notebook.photo_folder / name).unlink()
    out = tmp_path / "b.zip"
    assert back_up(notebook, out) == 0
    restored = restore_to(out, tmp_path / "again")

    assert restored.rows == 3
    assert len(restored.pictures_lost) == 1
    assert name in restored.pictures_lost[0]


def test_a_backup_holds_the_pictures_bytes(notebook: Notebook, tmp_path: Path) -> None:
    """Each picture is in the file as it was taken."""
    back_up(notebook, tmp_path / "b.zip")
    name = notebook.all(Photo)[0].file
    with ZipFile(tmp_path / "b.zip") as archive:
        assert archive.read(f"photos/{name}") == picture_with_facts()
    restore_to(tmp_path / "b.zip", tmp_path / "again")

    assert (photo_folder_of(tmp_path / "again") / name).read_bytes() == picture_with_facts()


def test_what_a_killed_program_left_half_done_goes(notebook: Notebook, tmp_path: Path) -> None:
    """A temporary file a day old is removed with the next backup, a fresh one stays."""
    old, fresh = (tmp_path / f".walk.backup.zip.{name}" for name in ("old", "fresh"))
    for path in (old, fresh):
        path.write_bytes(b"x")
    os.utime(old, (0, 0))
    back_up(notebook, tmp_path / "b.zip")

    assert [path.exists() for path in (old, fresh)] == [False, True]


def test_a_folder_that_cannot_be_made_is_told(notebook: Notebook, tmp_path: Path) -> None:
    """A file where the folder of backups should be: one sentence."""
    (tmp_path / "backups").write_bytes(b"x")
    with pytest.raises(NotebookError, match="could not be written"):
        back_up(notebook, tmp_path / "backups" / "b.zip")


def test_a_notebook_that_another_program_writes_to_is_not_replaced(
    notebook: Notebook, tmp_path: Path
) -> None:
    """While somebody holds the file for writing, restoring says so and changes nothing."""
    out = tmp_path / "b.zip"
    back_up(notebook, out)
    notebook.save(Site(id="later", name="Later"))
    raw = sqlite3.connect(notebook.path, isolation_level=None)
    raw.execute("BEGIN IMMEDIATE")
    try:
        with pytest.raises(LockedNotebook, match="Another program is using"):
            restore_over(out, notebook, tmp_path / "before.zip")
    finally:
        raw.close()

    assert notebook.get(Site, "later").name == "Later"


def test_a_folder_that_a_killed_program_unpacked_into_goes_a_day_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program killed while it restored or brought in left all it had unpacked, for good."""
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    killed, young, foreign = (
        new_temporary_folder(), new_temporary_folder(), tmp_path / "another-program"
    )  # fmt: skip
    foreign.mkdir()
    (killed / "notebook.sqlite").write_bytes(b"half")
    for folder in (killed, foreign):
        os.utime(folder, (0, 0))
    with temporary_folder() as fresh:
        assert set(tmp_path.iterdir()) == {young, foreign, fresh}
    assert set(tmp_path.iterdir()) == {young, foreign}
