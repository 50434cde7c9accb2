"""The pages that look through the whole survey, by touch: doubts, what was measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from surveyapp.model import Stop
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook with its Day open."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    running.touch("Day")
    harness.frames(12)
    yield running
    harness.stop(running)


def reviewed(pilot: Pilot) -> None:
    """Wait until the survey has been looked through as it is now."""
    harness.until(lambda: pilot.session.reviewer.is_fresh(pilot.session.survey.id))
    harness.frames(6)


def blur_stop_2(pilot: Pilot) -> Stop:
    """A position good to 60 m only."""
    stop = next(stop for stop in pilot.session.notebook.all(Stop) if stop.number == 2)
    pilot.session.save(replace(stop, position_sigma_m=60.0))
    harness.frames(8)
    return stop


def test_a_doubt_leads_to_its_entry_and_goes_when_it_is_settled(full: Pilot) -> None:
    """One touch on the doubt opens the stop, where a better position ends it; that of a clock set
    back in mid-survey opens the sheet that sets a phone's times right."""
    stop = blur_stop_2(full)
    touch("Review", "Doubts")(full)
    reviewed(full)
    full.touch("The position of stop 2 is good to 60 m only.")
    assert full.router.sheets[-1].state.row.id == stop.id
    full.back()
    full.session.save(replace(stop, position_sigma_m=5.0))
    harness.frames(8)

    assert not full.says("The position of stop 2")
    survey_id, number = stop.survey_id, full.session.notebook.next_stop_number(stop.survey_id)
    for later, seconds in enumerate((2, -2)):
        when = filled.NOW + timedelta(seconds=seconds)
        full.session.save(Stop(survey_id=survey_id, number=number + later, time_utc=when))
    harness.frames(8)
    full.touch(f"A clock was set back between stop {number} and stop {number + 1}.")
    assert full.router.sheets[-1].state.form.name == "clock"


def test_an_accepted_doubt_is_shown_as_accepted_and_can_be_doubted_again(full: Pilot) -> None:
    """It is counted apart, says so in the day too, lasts, and is never hidden."""
    blur_stop_2(full)
    touch("Review", "Doubts")(full)
    reviewed(full)
    said = next(text for text in full.texts() if text.endswith("kept as noted"))
    full.touch("Keep as noted")
    reviewed(full)
    before = int(said.split()[0])
    assert full.says(f"{before - 1} open, 1 kept as noted")
    assert full.says("The position of stop 2 is good to 60 m only.")
    full.back()
    full.back()
    harness.frames(12)
    assert full.says("kept as noted: Position worse than 25 m")
    assert len(full.session.notebook.setting("accepted_doubts")) == 1
    touch("Review", "Doubts", "Kept as noted: doubt it again")(full)
    reviewed(full)

    assert full.says(f"{before} open, 0 kept as noted")


def test_all_doubts_of_one_kind_are_accepted_at_once_and_doubted_again(full: Pilot) -> None:
    """Twenty sectors not settled are not twenty touches; another kind stays open."""
    blur_stop_2(full)
    touch("Review", "Doubts")(full)
    reviewed(full)
    page = full.app.root.ids.manager.get_screen("doubts")
    every = len(page.items)
    full.touch("Sector not settled · ")
    harness.frames(8)
    count = len(page.items)
    assert 1 < count < every
    full.touch(f"Keep all {count} as noted")
    reviewed(full)
    assert all(item.accepted for item in page.items)
    full.touch("All · ")
    harness.frames(8)
    assert sum(item.accepted for item in page.items) == count
    touch("Sector not settled · ", f"Doubt all {count} again")(full)
    reviewed(full)

    assert full.session.notebook.setting("accepted_doubts") == []


def test_the_day_shows_only_what_its_filter_lets_through(full: Pilot) -> None:
    """Readings of Phone B alone, then all again; the button says what is shown."""
    touch("Filter", "Readings", "Phone B")(full)
    harness.frames(8)
    listed = full.app.root.ids.manager.get_screen("day").items
    entries = [item for item in listed if not item.leads]
    assert {item.sheet for item in entries} == {"reading"}
    assert len(entries) == 3
    assert full.says("Shown: Readings · Phone B")
    touch("All entries", "All phones")(full)
    harness.frames(8)

    assert len(full.app.root.ids.manager.get_screen("day").items) == 31
    assert full.says("Filter")


def test_measured_values_stand_on_strips_with_their_expectation(full: Pilot) -> None:
    """A reading's level in figures; downloads after a touch; a tap opens the run."""
    touch("Review", "Measured against")(full)
    reviewed(full)
    assert full.says("RSRP −86 dBm, expected")
    full.touch("Download")
    harness.frames(8)
    assert full.says("Down 1480 Mbit/s")
    full.touch("Stop 1 · Phone A")

    assert full.router.sheets[-1].state.form.name == "speed_run"


def test_two_phones_are_compared_pair_by_pair_with_what_was_left_out(full: Pilot) -> None:
    """Three stops, the mean, the sentence; servers, visits and hours say why there is nothing."""
    touch("Review", "Compared")(full)
    reviewed(full)
    assert full.says("Mean ratio")
    assert full.says("Stop 3: ")
    full.touch("Servers")
    assert full.says("fewer than two servers")
    full.touch("Visits")

    assert full.says("one survey only")
    full.touch("Hours")
    while not full.says("in one part of the day"):
        harness.wait(0.05)


def test_a_track_gives_the_stops_that_were_not_noted(full: Pilot, tmp_path: Path) -> None:
    """From the day's review to the file: two halts become stops 4 and 5; Undo takes them back."""
    points = [
        f'<trkpt lat="{60.17 + 0.001 * at}" lon="24.95"><time>2026-06-10T11:{minute:02d}:00Z</time>'
        "</trkpt>"
        for at, minutes in enumerate(((0, 1, 2), (10, 11, 12)))
        for minute in minutes
    ]
    (tmp_path / "walk.gpx").write_text(
        '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="test"><trk><trkseg>'
        + "".join(points)
        + "</trkseg></trk></gpx>",
        encoding="utf-8",
    )
    full.session.notebook.keep_setting("last_folder", str(tmp_path))
    touch("Review", "Stops from a track", "Choose a file", "walk.gpx")(full)
    harness.until(lambda: full.says("can come in"))
    full.touch("Its stops into")
    survey = full.session.survey.id
    numbers = sorted(stop.number for stop in full.session.notebook.all(Stop, survey_id=survey))
    assert numbers == [1, 2, 3, 4, 5]
    full.touch("Undo")

    assert full.session.notebook.count(Stop) == 3
