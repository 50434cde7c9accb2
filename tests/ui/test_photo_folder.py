"""Photos sorted by what exiftool wrote into them: rules, the command, the sheet, the plan."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from surveyapp.analysis.photo_direction import true_direction_deg
from surveyapp.cli import cli
from surveyapp.geometry.headings import declination
from surveyapp.model import NorthReference, Photo, Stop, Survey
from surveyapp.sensors.phone_files import FakePhoneFiles
from surveyapp.store.notebook import Notebook
from surveyapp.ui.photo_folder import SortedPhoto, keep_photos, sort_pictures
from tests.ui import exif_set, fake_phone, filled, harness
from tests.ui.harness import Pilot

a_hundredth_of_a_degree = 0.01
WANTED = {  # file: (stop, reason or refusal, doubt)
    "a true.jpg": (1, "12 m from stop 1 and in its time", ""),
    "b magnetic.jpg": (1, "10 m from stop 1 and in its time", ""),
    "c no direction.png": (1, "8 m from stop 1 and in its time", ""),
    "d no place.jpg": (2, "2 min after stop 2 began; it tells no place", ""),
    "e nothing.jpg": (None, "neither its time nor its place", ""),
    "f absurd place.jpg": (3, "20 min after stop 3 began", "0, 0, which cameras write"),
    "g absurd direction.jpg": (1, "9 m from stop 1 and in its time", "no angle from 0 to 360"),
    "h clock never set.jpg": (1, "9 m from stop 1", "it was never set"),
    "i wrong clock.jpg": (1, "9 m from stop 1", "By its clock it belongs to stop 3"),
    "j far away.jpg": (None, "5.0 km from stop", ""),
    "k copy of a.jpg": (None, "The same picture as a true.jpg: kept once.", ""),
    "l torn.jpg": (None, "l torn.jpg is damaged", ""),
    "m new.heic": (None, "m new.heic is a HEIC picture, which is not read here", ""),
}


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The set, written once."""
    return exif_set.write(tmp_path_factory.mktemp("camera") / "set")


def hashes(folder: Path) -> dict[str, str]:
    """Every file's SHA-256."""
    return {one.name: hashlib.sha256(one.read_bytes()).hexdigest() for one in folder.iterdir()}


def sorted_set(path: Path, folder: Path) -> tuple[SortedPhoto, ...]:
    """The set sorted to the stops of a full notebook."""
    with Notebook.open(path) as notebook:
        found = sort_pictures(notebook, notebook.all(Survey)[0], sorted(folder.iterdir()))
    assert found is not None
    return found


def test_each_picture_finds_its_stop_and_says_why(pictures: Path, tmp_path: Path) -> None:
    """True, magnetic, missing and absurd data; a copy, a torn file and a HEIC are told."""
    found = sorted_set(filled.write(tmp_path / "a.notebook"), pictures)

    assert [one.path.name for one in found] == list(WANTED)
    for one in found:
        number, said, doubt = WANTED[one.path.name]
        assert (one.stop.number if one.stop else None) == number, one.path.name
        assert said in (one.refused or one.reason), one.path.name
        assert doubt in one.doubt, one.path.name
        assert bool(doubt) == bool(one.doubt), one.path.name
        assert (one.small is None) == one.path.name.startswith(("l", "m"))


def test_originals_stay_byte_for_byte_and_the_copies_are_them(
    pictures: Path, tmp_path: Path
) -> None:
    """Nothing in the camera's folder changes; what is kept has the same hash, as its name says."""
    path, before = filled.write(tmp_path / "a.notebook"), hashes(pictures)
    found = [one for one in sorted_set(path, pictures) if not one.refused]
    with Notebook.open(path) as notebook:
        keep_photos(notebook, notebook.all(Survey)[0], found, with_stops=False)
        kept = {photo.file.partition(".")[0] for photo in notebook.all(Photo)}
        damages = notebook.check()

    assert hashes(pictures) == before
    assert {before[one.path.name] for one in found} < kept
    assert damages == []


def test_a_magnetic_direction_is_turned_by_the_declination(pictures: Path, tmp_path: Path) -> None:
    """True stays, magnetic is turned by the World Magnetic Model where and when it was taken."""
    found = {one.path.name[0]: one.facts for one in sorted_set(
        filled.write(tmp_path / "a.notebook"), pictures)}  # fmt: skip

    def photo(letter: str) -> Photo:
        facts = found[letter]
        return Photo(survey_id="s", file="", time_utc=facts.time_utc, lat_deg=facts.lat_deg,
                     lon_deg=facts.lon_deg, direction_deg=facts.direction_deg,
                     direction_reference=facts.direction_reference)  # fmt: skip

    turn_deg = declination(*exif_set.STOP_1_DEG, filled.NOW.date()).declination_deg
    true_deg = true_direction_deg(photo("b"))

    assert turn_deg == pytest.approx(10.4, abs=0.2)  # WMM2025, Helsinki in 2026
    assert true_direction_deg(photo("a")) == pytest.approx(98.5)
    assert true_deg == pytest.approx(90.0 + turn_deg, abs=a_hundredth_of_a_degree)
    assert [true_direction_deg(photo(letter)) for letter in "cdefg"] == [None] * 5


def test_a_photo_without_a_place_is_turned_where_its_stop_is() -> None:
    """And one of a day outside the magnetic model is not turned at all."""
    stop = Stop(survey_id="s", number=1, time_utc=filled.NOW, lat_deg=60.17, lon_deg=24.94)
    photo = Photo(survey_id="s", file="", direction_deg=355.0,
                  direction_reference=NorthReference.MAGNETIC)  # fmt: skip
    old = Stop(survey_id="s", number=1, time_utc=filled.NOW.replace(year=2019), lat_deg=60.17,
               lon_deg=24.94)  # fmt: skip

    assert true_direction_deg(photo, stop) == pytest.approx(5.4, abs=0.2)
    assert true_direction_deg(photo, old) is None
    assert true_direction_deg(photo) is None


def told_by(*arguments: object) -> str:
    """What a command prints."""
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments])
    assert result.exit_code == 0, result.stderr
    return result.stdout


def test_the_command_sorts_a_folder_once_and_says_why(pictures: Path, tmp_path: Path) -> None:
    """Each photo with its stop and reason; again, none is new; a named stop takes them all."""
    path = filled.write(tmp_path / "a.notebook")
    first = told_by("import", path, pictures)
    again = told_by("import", path, pictures)
    other = filled.write(tmp_path / "b.notebook")
    named = told_by("import", other, pictures / "j far away.jpg", "--stop", "2")
    with Notebook.open(path) as notebook:
        photos = notebook.count(Photo)

    assert "10 new photos, 0 in the notebook already." in first
    assert "a true.jpg: to stop 1. Taken 12 m from stop 1 and in its time." in first
    assert "e nothing.jpg: to no stop. It tells neither" in first
    assert "Left out, m new.heic is a HEIC picture, which is not read here" in first
    assert "Left out, k copy of a.jpg: The same picture as a true.jpg: kept once." in first
    assert "0 new photos, 11 in the notebook already." in again
    assert photos == 11
    assert "to stop 2. To stop 2 as asked." in named


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook, at its third stop."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    yield running
    harness.stop(running)


def test_a_phone_picks_a_picture_in_its_own_list(pictures: Path, tmp_path: Path) -> None:
    """On Android a program sees no folders but its own: the system's list hands one over."""
    sensors = replace(fake_phone.phone(), files=FakePhoneFiles([[pictures / "a true.jpg"]]))
    path = filled.write(tmp_path / "day.notebook")
    pilot = harness.start(path, clock=lambda: filled.NOW, sensors=sensors)
    pilot.touch("Photo")
    pilot.touch("Choose a picture")
    pilot.touch("Pick on the phone")
    harness.until(lambda: pilot.says("Taken 12 m from stop 1"))
    sheets = [type(sheet).__name__ for sheet in pilot.router.sheets]
    harness.stop(pilot)

    assert sheets == ["EntrySheet"]


def fresh(pilot: Pilot, choose: Callable[[Photo], Any]) -> list[Any]:
    """Something of each photo that is newer than the notebook's own."""
    return [choose(one) for one in pilot.session.notebook.all(Photo) if "south" not in one.caption]


def test_the_sheet_takes_place_time_and_direction_from_the_file(
    full: Pilot, pictures: Path
) -> None:
    """The picture and the reason are shown; it goes to its own stop; the same again is one."""
    full.session.notebook.keep_setting("last_folder", str(pictures))
    full.touch("Photo")
    full.touch("b magnetic.jpg")
    assert full.says("Taken 10 m from stop 1 and in its time.")
    assert full.says("100° true")
    assert [w for w in harness.shown(full.app.root) if type(w).__name__ == "SmallPicture"]
    full.touch("Save")
    (kept,) = fresh(full, lambda one: one)
    number = full.session.notebook.get(Stop, kept.stop_id).number
    full.touch("Photo")
    full.touch("m new.heic")
    assert full.says("This file is a HEIC picture, which is not read here")
    full.touch("Choose a picture")
    full.touch("b magnetic.jpg")
    full.router.sheets[-1].put("caption", "The bend")
    full.touch("Save")

    assert full.says("This picture was in the notebook already: its entry was changed.")
    assert (number, kept.direction_deg, kept.direction_reference) == (
        1, 90.0, NorthReference.MAGNETIC,
    )  # fmt: skip
    assert kept.time_utc == filled.NOW.replace(minute=43)
    assert kept.lat_deg == pytest.approx(exif_set.STOP_1_DEG[0], abs=1e-4)
    assert fresh(full, lambda one: (one.id, one.caption)) == [(kept.id, "The bend")]
