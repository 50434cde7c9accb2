"""The Plan place by real touches: see, hold, measure, move, and answer another page's question."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import count
from pathlib import Path

import pytest
from kivy.core.window import Window
from kivy.uix.widget import Widget
from pyproj import Geod

from surveyapp.model import PositionFrom, Site, SiteStatus, Stop
from surveyapp.ui.north import declination_at_deg
from surveyapp.ui.plan.card_view import RowChip
from surveyapp.ui.session import Pick
from surveyapp.ui.theme import theme
from surveyapp.ui.tokens import WIDE_DP
from tests.ui import filled, harness, place_scenes
from tests.ui.gestures import hold, in_window, mark_of, on_plan, pinch, plan_view, tap
from tests.ui.harness import Pilot

GEOD = Geod(ellps="WGS84")
A_METRE_DEG = 1e-5  # of latitude, and half of one of longitude here


def site_named(pilot: Pilot, name: str) -> Site:
    """The site of this name."""
    return pilot.session.notebook.all(Site, name=name)[0]


def test_a_tap_on_a_site_tells_what_and_how_far(pilot: Pilot) -> None:
    """Name, panels, and the distance and bearing from the current stop as PROJ has them."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    site, stop = site_named(pilot, "Mill Street 3"), pilot.session.stop
    azimuth, _, metres = GEOD.inv(stop.lon_deg, stop.lat_deg, site.lon_deg, site.lat_deg)

    assert pilot.says("Mill Street 3")
    assert pilot.says("Panels facing")
    assert pilot.says(f"{metres:.0f} m at {azimuth % 360:.0f}° true from stop 3")


def test_a_tapped_site_opens_and_back_returns_to_the_plan(pilot: Pilot) -> None:
    """Open leads to the page of the site."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("Open")
    assert pilot.says("Panel South")
    pilot.back()

    assert pilot.router.pages[-1][0] == "plan"


def test_a_card_follows_what_it_tells_of(pilot: Pilot) -> None:
    """A site renamed elsewhere has its new name; one deleted takes its card with it."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    site = site_named(pilot, "Mill Street 3")
    pilot.session.save(replace(site, name="Mill Street 5"), what="a new name")
    harness.frames(4)
    assert pilot.says("Mill Street 5")
    pilot.session.notebook.delete(site)
    pilot.session.changed.fire()
    harness.frames(4)

    assert not pilot.says("Mill Street 5")


def test_a_tap_on_nothing_takes_the_card_away(pilot: Pilot) -> None:
    """The hint stands there again."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    view = plan_view(pilot)
    tap(pilot, in_window(view, 12 - view.width / 2, view.height / 2 - 12))

    assert pilot.says("Tap to see, hold to place")


def test_marks_at_one_place_come_in_a_list(pilot: Pilot) -> None:
    """Zoomed out until all lies under one finger, a list names them and shows the one touched."""
    for _ in range(8):
        pilot.touch("Farther")
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("List of")
    harness.frames(6)
    assert pilot.says("At this place")
    pilot.touch("Stop 2")

    assert pilot.app.root.ids.manager.get_screen("plan").card.title == "Stop 2"


def test_a_held_place_becomes_a_lead(pilot: Pilot) -> None:
    """The sheet opens with the place, and what is saved stands there, as a lead."""
    view = plan_view(pilot)
    at = in_window(view, 40, 30)
    east_m, north_m = view.viewport.to_plane(view.width / 2 + 40, view.height / 2 + 30)
    plane = pilot.app.root.ids.manager.get_screen("plan")._plane
    lat_deg, lon_deg = map(float, plane.to_world(east_m, north_m))
    hold(pilot, at)
    pilot.touch("New lead here")
    pilot.type("Behind the kiosk")
    pilot.touch("Save")
    lead = site_named(pilot, "Behind the kiosk")

    assert lead.status is SiteStatus.LEAD
    assert lead.position_from is PositionFrom.PLAN
    assert (lead.lat_deg, lead.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=A_METRE_DEG)
    assert any(mark.site.id == lead.id for mark in plan_view(pilot).marks.sites)


def test_a_held_place_takes_the_current_stop_and_undo_brings_it_back(pilot: Pilot) -> None:
    """The stop moves to the finger; Undo in the Day returns it."""
    before = pilot.session.stop
    x, y = on_plan(plan_view(pilot), plan_view(pilot).marks.stops[-1].at)
    hold(pilot, (x - 50, y))
    pilot.touch("Stop 3 was here")
    moved = pilot.session.notebook.get(Stop, before.id)
    assert moved.position_from is PositionFrom.PLAN
    assert moved.lon_deg < before.lon_deg
    assert moved.lat_deg == pytest.approx(before.lat_deg, abs=A_METRE_DEG)
    pilot.touch("Day")
    harness.frames(6)
    pilot.touch("Undo")
    back = pilot.session.notebook.get(Stop, before.id)

    assert (back.lat_deg, back.lon_deg) == (before.lat_deg, before.lon_deg)


def test_two_taps_measure_as_proj_does(pilot: Pilot) -> None:
    """From the one site to the other, both named: distance and bearing, true and magnetic as
    the stop's own declination has it; from nothing it is the place tapped."""
    pilot.touch("Measure")
    one, other = site_named(pilot, "Mill Street 3"), plan_view(pilot).marks.sites[0].site
    tap(pilot, mark_of(pilot, one.name))
    tap(pilot, mark_of(pilot, other.name))
    azimuth, _, metres = GEOD.inv(one.lon_deg, one.lat_deg, other.lon_deg, other.lat_deg)

    turn = declination_at_deg(one.lat_deg, one.lon_deg, filled.NOW.date())
    assert pilot.says(f"From {one.name} to {other.name}")
    assert pilot.says(f"{metres:.0f} m, {azimuth % 360:.0f}° true ")
    assert pilot.says(f"({(azimuth - turn) % 360:.0f}° magnetic)")
    view = plan_view(pilot)
    tap(pilot, in_window(view, 12 - view.width / 2, view.height / 2 - 12))
    assert pilot.says("From the place tapped")


def test_every_tool_is_in_reach_on_a_narrow_phone(pilot: Pilot) -> None:
    """Measure, Closer, Farther and Move it hid off the right edge of a row; a taller card or a
    message below changes neither scale nor what lies at the upper edge."""
    view, page = plan_view(pilot), pilot.app.root.ids.manager.get_screen("plan")
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    harness.frames(6)
    shown = {chip.text: chip for chip in page.walk() if isinstance(chip, RowChip)}
    for name in ("Fit", "Closer", "Farther", "Layers", "Where next", "Measure", "Move it"):
        left, _ = shown[name].to_window(*shown[name].pos)
        assert 0 <= left <= harness.Window.width - shown[name].width, name
    pilot.touch("Fit")
    harness.wait(0.3)
    fitted, banner = view.viewport, Widget(size_hint_y=None, height=70)
    page.ids.column.add_widget(banner)
    harness.frames(4)
    lower = view.viewport
    page.ids.column.remove_widget(banner)
    harness.frames(4)

    assert lower.height_px == fitted.height_px - 70
    assert lower.px_per_m == fitted.px_per_m
    assert lower.box_m[3] == pytest.approx(fitted.box_m[3])
    assert view.viewport.box_m == pytest.approx(fitted.box_m)


def test_a_drag_moves_and_the_chips_zoom(pilot: Pilot) -> None:
    """The place under the finger goes with it; Closer enlarges, Fit shows all again."""
    view = plan_view(pilot)
    view.clock = lambda: 0.0  # the finger rests before it leaves, so nothing runs on
    start = mark_of(pilot, "Mill Street 3")
    pilot.drag(start, (start[0] + 60, start[1] - 40))
    assert mark_of(pilot, "Mill Street 3") == pytest.approx((start[0] + 60, start[1] - 40), abs=1)
    before = view.viewport.px_per_m
    pilot.touch("Closer")
    assert view.viewport.px_per_m > before
    pilot.touch("Fit")

    assert all(view.viewport.sees(*mark.at) for mark in view.marks.sites)


def test_a_quick_push_runs_on(pilot: Pilot) -> None:
    """The drawing goes farther than the finger, the same way, and comes to rest."""
    view = plan_view(pilot)
    ticks = count()
    view.clock = lambda: next(ticks) * 0.016
    start = mark_of(pilot, "Mill Street 3")
    pilot.drag(start, (start[0] + 60, start[1]))
    harness.wait(1.2)
    rest = mark_of(pilot, "Mill Street 3")
    harness.frames(4)

    assert rest[0] > start[0] + 75
    assert rest[1] == pytest.approx(start[1], abs=1)
    assert mark_of(pilot, "Mill Street 3") == rest


def test_a_pinch_enlarges_about_its_middle(pilot: Pilot) -> None:
    """Twice as far apart: twice the scale, the site between the fingers stays."""
    view = plan_view(pilot)
    at, before = mark_of(pilot, "Mill Street 3"), view.viewport.px_per_m
    pinch(pilot, at, 80, 160)

    assert view.viewport.px_per_m == pytest.approx(2 * before, rel=0.02)
    assert mark_of(pilot, "Mill Street 3") == pytest.approx(at, abs=2)


def test_a_bearing_asked_for_is_answered_by_a_tap(pilot: Pilot) -> None:
    """The sighting sheet gets the true bearing from the stop to the place tapped."""
    pilot.touch("Stop")
    place_scenes.touch("Sighting", "Mill Street 3", "Bearing from the plan")(pilot)
    harness.wait(0.3)
    assert pilot.says("Tap what you are looking at")
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    site, stop = site_named(pilot, "Mill Street 3"), pilot.session.stop
    azimuth = GEOD.inv(stop.lon_deg, stop.lat_deg, site.lon_deg, site.lat_deg)[0] % 360

    assert pilot.session.pick is None
    typed = float(pilot.router.sheets[-1].state.text("bearing"))
    assert abs((typed - azimuth + 180) % 360 - 180) < 1.0


@pytest.mark.parametrize("leave", [lambda pilot: pilot.touch("Cancel"), Pilot.back])
def test_cancel_and_back_leave_a_question_unanswered(
    pilot: Pilot, leave: Callable[[Pilot], None]
) -> None:
    """Either way the sheet is there again, and the plan asks for nothing."""
    pilot.touch("Stop")
    place_scenes.touch("Sighting", "Mill Street 3", "Bearing from the plan")(pilot)
    leave(pilot)

    assert pilot.session.pick is None
    assert pilot.says("Bearing against")


def test_the_attribution_stands_wherever_the_ground_is_drawn(pilot: Pilot) -> None:
    """As the data's licence asks; without ground the page says how to get some."""
    assert pilot.says("OpenStreetMap contributors")
    pilot.session.notebook.ground.replace(type(pilot.session.scene.ground)(), "none")
    pilot.session.changed.fire()
    harness.frames(4)

    assert not pilot.says("OpenStreetMap contributors")
    assert pilot.says("bring some in")


def test_a_tap_on_a_blank_plan_places_nothing(tmp_path: Path) -> None:
    """Without streets, stops or sites no place means anything; the page says how to begin."""
    path = tmp_path / "new.notebook"
    pilot = harness.start(path, clock=lambda: filled.NOW)
    pilot.touch("I have read this")
    pilot.touch("Later")
    asked: list[tuple[float, float]] = []
    pilot.session.ask_on_plan(Pick("position", "Tap it", lambda *place: asked.append(place)))
    harness.frames(6)
    tap(pilot, in_window(plan_view(pilot), 0, 0))
    hold(pilot, in_window(plan_view(pilot), 30, 0))
    says = pilot.says("Nothing to draw yet")
    pilot.touch("Bring in streets")
    page = pilot.router.pages[-1]
    harness.stop(pilot)

    assert says
    assert not asked
    assert page == ("section", {"section": "ground"})


def test_on_a_desk_the_sites_stand_beside_the_plan(pilot: Pilot) -> None:
    """A tap on a row brings the site into the middle and tells of it."""
    harness.Window.size = (WIDE_DP + 300, 800)
    harness.frames(6)
    pilot.touch("Corner of Dock Lane and Ropemaker Street")
    view = plan_view(pilot)
    mark = next(m for m in view.marks.sites if m.site.name.startswith("Corner"))

    assert view.viewport.to_window(*mark.at) == pytest.approx(
        (view.width / 2, view.height / 2), abs=2
    )
    assert pilot.says("Panels facing 90°, 315°")


def test_a_row_far_away_is_told_not_drawn(pilot: Pilot) -> None:
    """A site with swapped coordinates does not shrink the survey to a speck."""
    far = Site(name="Swapped", lat_deg=24.94, lon_deg=60.17)
    pilot.session.save(far, what="a slip")
    harness.frames(6)

    assert pilot.says("1 thing lies more than 200 km away")
    assert all(mark.site.name != "Swapped" for mark in plan_view(pilot).marks.sites)


@pytest.mark.parametrize("look", ["day", "night"])
def test_the_marks_are_painted_in_the_colours_of_the_theme(tmp_path: Path, look: str) -> None:
    """The middle of a site on air is the accent, the ground around it is not."""
    path = filled.write(tmp_path / "painted.notebook")
    pilot = harness.start(path, clock=lambda: filled.NOW, look=look, draw=True)
    place_scenes.plan(pilot)
    harness.frames(4)
    x, y = mark_of(pilot, "Mill Street 3")
    pixels = Window.screenshot(name=str(tmp_path / "plan.png"))
    accent = tuple(round(part * 255) for part in theme.accent[:3])
    found = _pixel(pixels, x, y), _pixel(pixels, x + 16, y + 16)
    harness.stop(pilot)

    assert found[0] == pytest.approx(accent, abs=3)
    assert found[1] != pytest.approx(accent, abs=3)


def _pixel(picture: str, x: float, y: float) -> tuple[int, ...]:
    from PIL import Image

    with Image.open(picture) as image:
        return image.convert("RGB").getpixel((round(x), image.height - 1 - round(y)))
