"""The way back, and the way there again: places, pages, sheets, taps wished for on the plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from surveyapp.model import Sighting
from tests.ui import field_day, harness
from tests.ui.harness import Pilot


def test_back_closes_the_sheet_then_leaves_the_place_then_is_let_through(pilot: Pilot) -> None:
    """One step at a time, and the last one belongs to the system."""
    pilot.touch("Book")
    pilot.touch("Stop")
    pilot.touch("Remark")
    assert pilot.router.back()
    assert pilot.router.sheets == []

    pilot.router.go("day")
    pilot.router.push("cautions")
    assert pilot.router.back()
    assert pilot.router.pages == [("day", {})]
    assert pilot.router.back()
    assert pilot.router.place == "stop"
    assert not pilot.router.back()


def test_escape_is_the_way_back(pilot: Pilot) -> None:
    """Escape and Android's Back come as the same key."""
    pilot.touch("Remark")
    pilot.back()

    assert pilot.router.sheets == []


def test_a_new_process_opens_where_the_last_one_ended(path: Path) -> None:
    """Place, page and open sheet are kept with each step."""
    first = harness.start(path)
    first.touch("I have read this")
    first.touch("Later")
    first.touch("Speed run")
    first.type("Phone C")
    harness.stop(first)
    second = harness.start(path)

    assert second.says("Speed run")
    assert second.router.sheets[-1].state.text("device_label") == "Phone C"
    harness.stop(second)


def test_a_route_that_is_no_longer_there_is_left_out(path: Path) -> None:
    """A kept page or sheet that has gone does not stop the app from opening."""
    first = harness.start(path)
    first.touch("I have read this")
    first.touch("Later")
    gone = {"pages": [["stop", {}], ["nowhere", {}]], "sheets": [["remark", "gone"], ["no", None]]}
    first.session.notebook.keep_setting("route", gone)
    harness.stop(first)
    second = harness.start(path)

    assert second.router.pages == [("stop", {})]
    assert second.router.sheets == []
    harness.stop(second)


def test_a_bearing_comes_from_a_tap_on_the_plan(pilot: Pilot) -> None:
    """The plan comes to the front, one tap gives the bearing, and the sheet is there again."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    pilot.touch("Sighting")
    pilot.touch("Mill Street 3")
    pilot.touch("Bearing from the plan")
    harness.frames(4)
    assert pilot.says("Tap what you are looking at")

    lat_deg, lon_deg = field_day.PLACE_DEG
    pilot.session.give_pick(lat_deg, lon_deg + 0.001)
    harness.frames(4)
    pilot.touch("Save")
    sighting = pilot.session.notebook.all(Sighting)[0]

    assert sighting.raw_reference == "true"
    assert sighting.bearing_deg == pytest.approx(90.0, abs=0.06)


def test_a_wish_for_a_tap_can_be_given_up(pilot: Pilot) -> None:
    """Back from the plan leads to the sheet that asked."""
    pilot.touch("No position yet")
    pilot.touch("Tap on the plan")
    harness.frames(4)
    assert pilot.router.pages[-1][0] == "plan"

    pilot.back()
    assert pilot.router.pages[-1][0] == "stop"
    assert pilot.says("Latitude")


def test_the_page_keeps_clear_of_the_phones_own_bars(pilot: Pilot) -> None:
    """Safe areas move the page in; nothing stands under a status or navigation bar."""
    shell = pilot.app.root
    shell.safe_top, shell.safe_bottom = 40, 30
    harness.frames(4)
    bar = shell.ids.bar

    assert bar.to_window(*bar.pos)[1] == 30
    assert shell.ids.page.top == harness.Window.height - 40
