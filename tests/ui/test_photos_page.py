"""Photos of a folder sorted in: by touch, and the rules without a window."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.model import Photo, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.photo_folder import keep_photos, request, sorted_folder
from tests.ui import filled, harness, picture_folder
from tests.ui.harness import Pilot
from tests.ui.place_scenes import sorted_photos


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    yield running
    harness.stop(running)


def test_a_folder_is_sorted_shown_and_kept_with_a_stop_for_the_loose_ones(full: Pilot) -> None:
    """One goes to stop 1, two make stop 4; one undo takes all of it back."""
    notebook = full.session.notebook
    sorted_photos(full)
    assert full.says("Stop 1 · 12:40")
    assert full.says("3 photos of 3 to keep")
    full.touch("Keep, 1 new stop for 2")
    stops = {stop.number: stop.id for stop in notebook.all(Stop)}
    counts = [notebook.count(Photo, stop_id=stops[number]) for number in (1, 3, 4)]
    assert counts == [1, 1, 2]
    assert full.says("Kept 3 photos and 1 new stop.")
    full.touch("Undo")

    assert (notebook.count(Photo), notebook.count(Stop)) == (1, 3)


def test_a_picture_left_out_stays_out(full: Pilot) -> None:
    """A tap leaves it out, Keep takes the others, without a new stop."""
    sorted_photos(full)
    full.touch("beside it.jpg")
    assert full.says("2 photos of 3 to keep")
    full.touch("Keep 2 photos")
    notebook = full.session.notebook
    loose = [photo for photo in notebook.all(Photo) if photo.stop_id is None]

    assert (notebook.count(Photo), len(loose), notebook.count(Stop)) == (3, 1, 3)


def test_the_same_folder_again_and_a_file_that_is_no_picture_bring_nothing(tmp_path: Path) -> None:
    """Both are listed with the reason; place and time are kept to the digit."""
    path = filled.write(tmp_path / "a.notebook")
    folder = picture_folder.write(tmp_path / "camera")
    (folder / "torn.jpg").write_bytes(b"no picture at all")
    with Notebook.open(path) as notebook:
        survey = notebook.all(Survey)[0]
        asked = request(survey.id, folder)
        first = sorted_folder(path, asked, lambda: False)
        keep_photos(notebook, survey, [one for one in first if not one.refused], True)
        again = sorted_folder(path, asked, lambda: False)
        (kept,) = (p for p in notebook.all(Photo) if p.lat_deg == pytest.approx(60.1654, abs=1e-5))

    assert [bool(one.refused) for one in first] == [False, False, False, True]
    assert all(one.refused for one in again)
    assert "in the notebook already" in again[0].refused
    assert kept.time_utc == filled.NOW.replace(minute=40)
    shutil.rmtree(folder)
