"""Questions put from the plan by real touches, layers, following, dragging, poor grounds."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pyproj import Geod

from surveyapp.model import (
    Building,
    Ground,
    PositionFrom,
    SiteStatus,
    Stop,
    Street,
)
from tests.ui import harness
from tests.ui.gestures import answered, in_window, mark_of, on_plan, plan_view, tap
from tests.ui.harness import Pilot
from tests.ui.plan.test_plan_page import site_named

GEOD = Geod(ellps="WGS84")
A_PIXEL_M = 2.0
LEVEL = "\N{MINUS SIGN}86"  # the middle of -86 and -87 dBm, to the nearest even
LAT_DEG, LON_DEG = 60.1662, 24.9400


def page_of(pilot: Pilot):
    """The Plan place."""
    return pilot.app.root.ids.manager.get_screen("plan")


def texts_of(pilot: Pilot) -> set[str]:
    """Every word on the drawing."""
    return {text.text for text in plan_view(pilot).drawing.texts}


def test_a_layer_is_switched_off_and_stays_so(pilot: Pilot) -> None:
    """The levels go with their layer, and the choice is kept in the notebook."""
    pilot.touch("Fit")
    harness.wait(0.2)
    assert LEVEL in texts_of(pilot)
    pilot.touch("Layers")
    harness.frames(6)
    pilot.touch("Shown")
    pilot.back()
    harness.wait(0.2)

    assert LEVEL not in texts_of(pilot)
    assert pilot.session.notebook.setting("plan_hidden") == ["levels"]


def test_the_plan_follows_the_stop_until_it_is_pushed(pilot: Pilot) -> None:
    """The stop is in the middle, also once it has moved; a push ends that."""
    view, middle = plan_view(pilot), (0.0, 0.0)
    pilot.touch("Follow me")
    stop = pilot.session.stop
    pilot.session.set_position(stop.lat_deg + 0.002, stop.lon_deg, 5.0, PositionFrom.TYPED)
    harness.frames(4)
    middle = page_of(pilot)._here()
    assert (view.viewport.east_m, view.viewport.north_m) == pytest.approx(middle)
    pilot.drag(in_window(view, 0, 0), in_window(view, 60, 0))

    assert not page_of(pilot).following
    assert view.viewport.east_m < middle.east_m


def test_a_site_is_dragged_to_its_place_and_back_by_undo(pilot: Pilot) -> None:
    """It stands where PROJ has the pixel it was dropped on; Undo puts it back."""
    before = site_named(pilot, "Mill Street 3")
    view, start = plan_view(pilot), mark_of(pilot, "Mill Street 3")
    tap(pilot, start)
    pilot.touch("Move it")
    start = mark_of(pilot, "Mill Street 3")
    pilot.drag(start, (start[0] + 50, start[1]))
    after = site_named(pilot, "Mill Street 3")
    azimuth, _, metres = GEOD.inv(before.lon_deg, before.lat_deg, after.lon_deg, after.lat_deg)
    assert azimuth == pytest.approx(90.0, abs=2.0)
    assert metres == pytest.approx(50 / view.viewport.px_per_m, abs=A_PIXEL_M)
    assert after.position_from is PositionFrom.PLAN
    pilot.touch("Undo")

    assert site_named(pilot, "Mill Street 3").lat_deg == before.lat_deg
    assert site_named(pilot, "Mill Street 3").lon_deg == before.lon_deg


def test_a_proposed_place_is_shown_and_becomes_a_stop(pilot: Pilot) -> None:
    """Where next names places; the plan answers touches meanwhile; standing there makes a stop."""
    view, stops = plan_view(pilot), pilot.session.notebook.count(Stop)
    pilot.touch("Where next")
    harness.frames(6)
    pilot.touch("Sectors nobody")
    assert page_of(pilot).asking.work.busy
    east_m = view.viewport.east_m
    pilot.drag(in_window(view, 0, 0), in_window(view, 60, 0))
    assert view.viewport.east_m < east_m
    answered(pilot)
    harness.wait(0.2)
    stand = view.finding.stands[0]
    assert stand.letter in texts_of(pilot)
    tap(pilot, on_plan(view, stand.at))
    pilot.touch("I stand here now")
    here = pilot.session.stop
    _, _, metres = GEOD.inv(here.lon_deg, here.lat_deg, stand.lon_deg, stand.lat_deg)

    assert pilot.session.notebook.count(Stop) == stops + 1
    assert metres < 0.01


def test_where_to_sight_a_site_says_what_is_gained(pilot: Pilot) -> None:
    """The card tells the ellipse before and after for each place."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("Where to sight")
    answered(pilot)

    assert pilot.says("becomes")
    assert 1 <= len(plan_view(pilot).finding.stands) <= 3


def test_a_lead_is_ticked_off_by_standing_there(pilot: Pilot) -> None:
    """The sheet knows that one stands at it; a touch says what hangs there; Undo takes it back."""
    stop, site = pilot.session.stop, site_named(pilot, "Mill Street 3")
    lead = replace(site, status=SiteStatus.LEAD, lat_deg=stop.lat_deg, lon_deg=stop.lon_deg)
    pilot.session.save(lead, what="a lead")
    pilot.touch("Where next")
    harness.frames(6)
    pilot.touch("Mill Street 3")
    harness.frames(4)
    assert pilot.says("You stand 0 m from where it is noted")
    pilot.touch("It is on air")
    assert site_named(pilot, "Mill Street 3").status is SiteStatus.LIVE
    pilot.touch("Undo")

    assert site_named(pilot, "Mill Street 3").status is SiteStatus.LEAD


def test_more_ground_comes_as_one_pans(pilot: Pilot) -> None:
    """Pushed aside at street scale, the plan draws what comes into sight, and only pieces of it."""
    view = plan_view(pilot)
    view.zoom(8.0)
    harness.wait(0.3)
    before = set(view.drawing.ground._held)
    view.centre(view.viewport.east_m + 500.0, view.viewport.north_m + 300.0)
    harness.wait(0.3)
    after = set(view.drawing.ground._held)

    assert after > before
    assert len(after) < 40


def _crossing(lat_deg: float, lon_deg: float) -> Building:
    """A building whose outline crosses itself."""
    corners = ((0, 0), (0.0004, 0.0008), (0.0004, 0), (0, 0.0008), (0, 0))
    return Building(outline_deg=tuple((lat_deg + a, lon_deg + b) for a, b in corners))


POOR_GROUNDS = {
    "empty": (Ground(), "No streets here yet"),
    "far": (
        Ground(streets=(Street(points_deg=((62.2, 24.9), (62.3, 24.9))),), attribution="Far"),
        "lie far from here",
    ),
    "crossing": (Ground(buildings=(_crossing(LAT_DEG, LON_DEG),), attribution="Own"), "Own"),
    "one node": (
        Ground(streets=(Street(name="End", points_deg=((LAT_DEG, LON_DEG),)),), attribution="Own"),
        "Own",
    ),
}


def test_a_poor_ground_is_drawn_or_told(pilot: Pilot) -> None:
    """The plan still draws its sites, nothing falls over; where next is a free place then, which
    had no answer for want of streets. A site nobody sighted comes first, before the stop."""
    for name, (ground, says) in POOR_GROUNDS.items():
        pilot.session.notebook.ground.replace(ground, name)
        pilot.session.changed.fire()
        harness.frames(6)
        assert pilot.says(says), name
        pilot.touch("Where next")
        harness.frames(6)
        assert pilot.router.sheets[-1].items[0].detail == "Nobody sighted it yet", name
        pilot.touch("Sectors nobody")
        answered(pilot)

        assert pilot.says("No streets here: check that you may stand there."), name
        assert page_of(pilot).answer.finding.stands, name
        assert len(plan_view(pilot).marks.sites) == 2
