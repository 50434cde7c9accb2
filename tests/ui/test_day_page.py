"""The Day place by touch: the survey in order, opened, changed, deleted, undone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.model import Reading, Remark, Stop
from surveyapp.ui.day_list import day_of
from tests.ui import filled, gestures, harness
from tests.ui.harness import Pilot


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook with its Day open."""
    running = harness.start(filled.write(tmp_path / "day.notebook"), clock=lambda: filled.NOW)
    running.touch("Day")
    harness.frames(12)
    yield running
    harness.stop(running)


def rows(pilot: Pilot) -> list[str]:
    """What the rows say, from the top."""
    found = pilot.app.root.ids.manager.get_screen("day").ids["list"].children
    return [row.text for row in reversed(found)]


def test_the_day_lists_every_stop_with_its_entries_below_it(full: Pilot) -> None:
    """Three stops in order, nine entries each and a photo, the count above."""
    said = rows(full)
    stops = [at for at, text in enumerate(said) if text.startswith("Stop ")]

    assert [said[at] for at in stops] == ["Stop 1 · 12:40", "Stop 2 · 12:50", "Stop 3 · 13:00"]
    assert [b - a for a, b in zip(stops, [*stops[1:], len(said)], strict=True)] == [10, 10, 11]
    assert full.says("3 stops · 28 entries")


def test_what_is_doubtful_says_so_in_its_row_and_is_counted_above(full: Pilot) -> None:
    """A position good to 60 m, an RSRP that no phone reports: shown, and not in the way."""
    notebook = full.session.notebook
    stop = next(stop for stop in notebook.all(Stop) if stop.number == 2)
    reading = notebook.all(Reading, stop_id=stop.id)[0]
    impossible = replace(reading.carriers[0], rsrp_dbm=-29.5)
    full.session.save(replace(stop, position_sigma_m=60.0))
    full.session.save(replace(reading, carriers=(impossible,)))
    harness.frames(8)

    assert full.says("The position of stop 2 is good to 60 m only.")
    assert full.says("doubts")
    assert day_of(notebook, full.session.survey).summary.endswith(" · 28 entries")


def test_an_entry_is_changed_from_its_row(full: Pilot) -> None:
    """A tap opens the sheet; what is saved stands in the row."""
    full.touch("A tall lorry")
    sheet = full.router.sheets[-1]
    sheet.put("text", "A tram stood in the beam")
    full.touch("Save")
    harness.frames(8)

    assert "A tram stood in the beam" in rows(full)


def test_a_deleted_stop_takes_its_entries_and_undo_brings_all_back(full: Pilot) -> None:
    """Ten rows go, Undo returns them, Redo takes them again."""
    before = rows(full)
    full.touch("Stop 1")
    full.touch("Delete")
    harness.frames(8)
    assert len(rows(full)) == len(before) - 10
    full.app.root.hush()
    full.touch("Undo")
    harness.frames(8)
    assert rows(full) == before
    full.app.root.hush()
    full.touch("Redo")
    harness.frames(8)

    assert len(rows(full)) == len(before) - 10


def test_a_stops_time_is_corrected_in_the_surveys_own_zone(full: Pilot) -> None:
    """12:40 in Helsinki in June is 09:40 UTC, and the row tells 12:05 after the change."""
    full.touch("Stop 1")
    full.router.sheets[-1].put("time", "2026-06-10 12:05")
    full.touch("Save")
    stop = next(s for s in full.session.notebook.all(Stop) if s.number == 1)

    assert stop.time_utc.isoformat() == "2026-06-10T09:05:00+00:00"
    harness.frames(8)
    assert full.says("Stop 1 · 12:05")


def test_a_time_that_is_none_is_told_and_nothing_is_kept(full: Pilot) -> None:
    """The sheet stays open with the sentence."""
    before = {stop.id: stop.time_utc for stop in full.session.notebook.all(Stop)}
    full.touch("Stop 1")
    full.router.sheets[-1].put("time", "half past noon")
    full.touch("Save")

    assert full.says("half past noon is no time")
    assert {stop.id: stop.time_utc for stop in full.session.notebook.all(Stop)} == before


def test_saving_a_stop_untouched_changes_nothing(full: Pilot) -> None:
    """Coordinates keep all their digits and the time its seconds."""
    before = full.session.notebook.all(Stop)
    full.touch("Stop 1")
    full.router.sheets[-1].save()

    assert full.session.notebook.all(Stop) == before


def test_an_empty_day_teaches_and_leads_to_stop(pilot: Pilot) -> None:
    """With nothing entered the page says what will stand here."""
    pilot.touch("Day")
    harness.frames(6)
    assert pilot.says("Nothing noted yet")
    pilot.touch("Go to Stop")

    assert pilot.router.place == "stop"


def test_on_a_desk_a_stop_tapped_on_the_plan_brings_its_entries_into_sight(full: Pilot) -> None:
    """The plan stands beside the list, with all three stops; a phone shows the list alone."""
    page = full.app.root.ids.manager.get_screen("day")
    assert not page.ids.plan_room.children
    harness.Window.size = harness.DESK
    harness.frames(12)
    (plan,) = page.ids.plan_room.children
    view = plan.ids.view
    assert [mark.stop.number for mark in view.marks.stops] == [1, 2, 3]
    page.ids.scroll.scroll_y = 0
    first = view.marks.stops[0]
    full.touch_at(*gestures.on_plan(view, first.at))
    harness.frames(4)
    row = page.ids["list"].row_of(first.stop.id)
    bottom = row.to_window(row.x, row.y)[1]

    assert view.current_stop_id == first.stop.id
    assert 0 < bottom < harness.DESK[1]


def test_on_a_desk_the_sheet_stands_beside_the_list(full: Pilot) -> None:
    """Both are seen at once."""
    harness.Window.size = harness.DESK
    harness.frames(6)
    full.touch("A tall lorry")

    assert full.says("Remark, change")
    assert full.says("Stop 1")
    assert full.session.notebook.count(Remark) == 6
