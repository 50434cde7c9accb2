"""Entries put in order by touch: moved, split off, stops joined, a clock set; one undo each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from surveyapp.model import Device, Reading, Remark, SpeedRun, Stop
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook with its Day under review."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    touch("Day", "Review")(running)
    yield running
    harness.stop(running)


def stop_of(pilot: Pilot, number: int) -> Stop:
    """The stop of this number."""
    return next(stop for stop in pilot.session.notebook.all(Stop) if stop.number == number)


def entries_at(pilot: Pilot, number: int) -> int:
    """How many remarks stand at a stop."""
    return pilot.session.notebook.count(Remark, stop_id=stop_of(pilot, number).id)


def test_entries_move_to_the_stop_that_is_tapped_and_undo_brings_them_back(full: Pilot) -> None:
    """Two remarks of stop 1 go to stop 2 as one action. One scrolled past all entries to find the
    stop: now only stops are listed."""
    touch("Put entries", "A tall lorry", "Lost 5G", "Move to a stop")(full)
    harness.frames(8)
    page = full.app.root.ids.manager.get_screen("arrange")
    assert [item.text[:6] for item in page.items] == ["Stop 1", "Stop 2", "Stop 3"]
    full.touch("Stop 2")
    assert (entries_at(full, 1), entries_at(full, 2)) == (0, 4)
    full.touch("Undo")

    assert (entries_at(full, 1), entries_at(full, 2)) == (2, 2)


def test_entries_are_split_off_as_a_stop_of_their_own(full: Pilot) -> None:
    """It takes the next number and lies where the old one lies; the list tells after which stop
    that is, and why it is not the next number there."""
    touch("Put entries", "A tall lorry", "Split off")(full)
    made = stop_of(full, 4)

    assert entries_at(full, 4) == 1
    assert made.lat_deg == stop_of(full, 1).lat_deg
    assert full.says("The other stops keep their numbers")
    begun = stop_of(full, 1).time_utc + timedelta(seconds=30)
    full.session.save(replace(made, time_utc=begun))
    harness.frames(8)
    assert full.says("after stop 1")


def test_the_bar_of_what_can_be_done_does_not_hide_the_row_just_tapped(full: Pilot) -> None:
    """The last row in sight lay under the bar that its own tap had brought up."""
    touch("Put entries")(full)
    harness.frames(12)
    page = full.app.root.ids.manager.get_screen("arrange")
    scroll, rows = page.ids.scroll, page.ids.list.children[::-1]
    bottom = scroll.to_window(0, scroll.y)[1]
    seen = [row for row in rows if row.to_window(0, row.y)[1] >= bottom and not row.leads]
    full.touch(seen[-1])
    harness.frames(8)

    assert page.chosen == [seen[-1].item.row_id]
    assert seen[-1].to_window(0, seen[-1].y)[1] >= scroll.to_window(0, scroll.y)[1] - 1


def test_two_stops_become_one_with_all_entries(full: Pilot) -> None:
    """Stop 2 goes into stop 1; how far apart they lay is told; Undo parts them again."""
    touch("Put entries", "Stop 1", "Stop 2", "Join them")(full)
    assert (entries_at(full, 1), full.session.notebook.count(Stop)) == (4, 2)
    assert full.says("join of stops 1 and 2, 45 m apart")
    full.touch("Undo")

    assert (entries_at(full, 1), full.session.notebook.count(Stop)) == (2, 3)


def test_a_wrong_clock_is_set_right_for_all_that_one_phone_noted(full: Pilot) -> None:
    """An hour back for Phone A's readings and runs, none for Phone B's, and one undo."""
    notebook = full.session.notebook
    before = {row.id: row.time_utc for row in _timed(notebook)}
    touch("Set a clock", "Phone A", "1 h earlier", "Save")(full)
    phones = {device.id: device.label for device in notebook.all(Device)}
    moved = {phones[row.device_id] for row in _timed(notebook) if row.time_utc != before[row.id]}
    assert moved == {"Phone A"}
    shifts = {before[row.id] - row.time_utc for row in _timed(notebook)}
    assert shifts == {timedelta(0), timedelta(hours=1)}
    notebook.undo()

    assert {row.id: row.time_utc for row in _timed(notebook)} == before


def _timed(notebook) -> list:
    return [*notebook.all(Reading), *notebook.all(SpeedRun)]
