"""The phone's own sensors under a finger: position, heading, tilt, camera and radio, scripted."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.exchange.photo_exif import read_photo
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Photo, PositionFrom, Reading, Sighting, Source, Stop
from surveyapp.ui.senses import gathering, standing
from tests.ui import fake_phone, field_day, harness
from tests.ui.harness import Pilot, frames, until


@pytest.fixture(autouse=True)
def hurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sensors are asked a hundred times a second."""
    monkeypatch.setattr(standing, "EVERY_S", 0.01)
    monkeypatch.setattr(gathering, "EVERY_S", 0.01)


def opened(path: Path, grants: bool = True) -> Pilot:
    """The app on a phone, its cautions read, two phones and a site in the notebook."""
    pilot = harness.start(path, clock=lambda: fake_phone.NOW, sensors=fake_phone.phone(grants))
    pilot.touch("I have read this")
    pilot.touch("Later")
    field_day.prepare(pilot)
    return pilot


@pytest.fixture
def handset(path: Path) -> Iterator[Pilot]:
    """The app on a phone whose owner grants everything."""
    pilot = opened(path)
    yield pilot
    harness.stop(pilot)


def stand(pilot: Pilot) -> None:
    """Start a stop and wait for its position."""
    pilot.touch_at(180, 500)
    until(lambda: pilot.session.stop.lat_deg is not None)


def test_a_new_stop_takes_its_position_by_itself(handset: Pilot) -> None:
    """The receiver's samples are averaged and kept with their own sigma."""
    stand(handset)
    stop = handset.session.notebook.all(Stop)[0]
    off_m = inverse(stop.lat_deg, stop.lon_deg, *fake_phone.PLACE_DEG).distance_m

    assert stop.position_from is PositionFrom.SENSOR
    assert off_m < 2.0
    assert 2.0 < stop.position_sigma_m < 6.0
    assert not handset.session.senses.sensors.position.running


def test_a_refused_position_leaves_hand_entry(path: Path) -> None:
    """Nothing is asked before it is used; a refusal is one sentence, and typing works."""
    pilot = opened(path, grants=False)
    pilot.touch_at(180, 500)
    frames(4)
    asked = pilot.session.senses.sensors.permissions.asked
    assert asked == []

    pilot.touch("Take position")
    frames(2)
    assert len(asked) == 1
    assert pilot.says("The phone's position is not allowed: type it, or tap it on the plan.")
    field_day.place(pilot)
    assert pilot.session.stop.position_from is PositionFrom.TYPED
    harness.stop(pilot)


def test_heading_and_elevation_fill_a_sighting(handset: Pilot) -> None:
    """Take heading and Take elevation put in what the phone says, and how good it is."""
    stand(handset)
    handset.touch("Sighting")
    handset.touch("Mill Street 3")
    handset.touch("Take heading")
    until(lambda: handset.says("wavered 0."))
    handset.touch("Take elevation")
    state = handset.router.sheets[-1].state
    until(lambda: state.text("elevation"))
    handset.touch("Save")
    sighting = handset.session.notebook.all(Sighting)[0]

    assert sighting.raw_bearing_deg == pytest.approx(90.0, abs=0.3)
    assert sighting.bearing_deg == pytest.approx(100.4, abs=0.6)
    assert sighting.elevation_deg == pytest.approx(20.0, abs=0.3)
    assert sighting.sigma_deg > 3.0


def test_a_reading_is_filled_by_the_phone_itself(handset: Pilot) -> None:
    """Its values, their age, and what it gave that cannot be."""
    handset.touch("Reading")
    handset.touch("Fill from this phone")
    frames(2)
    assert handset.says("2 s old at 09:30 · 5G RSRQ 99 cannot be: -43 to 20")
    handset.touch("Save")
    reading = handset.session.notebook.all(Reading)[0]

    assert reading.source is Source.PHONE
    assert [(c.band, c.pci, c.rsrp_dbm, c.rsrq_db) for c in reading.carriers] == [
        ("n258", 101, -88.0, None), ("B20", None, -99.0, None),
    ]  # fmt: skip


def test_a_picture_of_the_camera_is_kept_at_once(handset: Pilot) -> None:
    """It is in the notebook before its caption is asked for, with its place written into it."""
    stand(handset)
    handset.touch("Photo")
    handset.touch("Take a picture")
    until(lambda: handset.says("Photo, change"))
    notebook = handset.session.notebook
    kept = notebook.all(Photo)[0]
    facts = read_photo(notebook.photo_folder / kept.file)

    assert (kept.lat_deg, kept.lon_deg) == (
        handset.session.stop.lat_deg, handset.session.stop.lon_deg,
    )  # fmt: skip
    assert facts.lat_deg == pytest.approx(kept.lat_deg, abs=1e-6)


def test_a_desk_without_sensors_shows_none_of_their_buttons(pilot: Pilot) -> None:
    """Neither on the page nor on the sheets."""
    field_day.prepare(pilot)
    pilot.touch_at(180, 400)
    frames(2)
    for sheet in ("", "Sighting", "Reading"):
        if sheet:
            pilot.touch(sheet)
        assert not any(pilot.says(word) for word in ("Take heading", "this phone", "Take elev"))
        pilot.back()
