"""Cover, gaps, azimuths and landmarks: asked and placed on the plan by real touches."""

from __future__ import annotations

from dataclasses import replace
from math import log10

import pytest
from pyproj import Geod

from surveyapp.model import Carrier, Device, PositionFrom, Reading, Sector, Site, SiteKind, Stop
from tests.ui import harness
from tests.ui.filled import NOW
from tests.ui.gestures import answered, hold, in_window, mark_of, on_plan, plan_view, tap
from tests.ui.harness import Pilot
from tests.ui.plan.test_plan_answers import page_of, texts_of
from tests.ui.plan.test_plan_page import site_named

GEOD = Geod(ellps="WGS84")
A_PIXEL_M = 2.0
WALKED_DEG = 140.0


def test_gaps_between_two_sites_are_drawn_and_listed(pilot: Pilot) -> None:
    """From one site's card to a tap on the other: the way, its sentence, a row for each gap."""
    far = "Corner of Dock Lane and Ropemaker Street"
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("Gaps to")
    pilot.touch("Fit")
    tap(pilot, mark_of(pilot, far))
    answered(pilot)
    page = page_of(pilot)
    assert page.answer is not None, page.card.lines
    pilot.touch("Figures")
    harness.frames(8)

    assert pilot.says(page.answer.says[0])
    assert pilot.says("Chance of cover") == (page.answer.strip is not None)


def test_a_threshold_is_typed_and_an_impossible_one_refused(pilot: Pilot) -> None:
    """+30 dBm cannot be: one sentence, and nothing is asked; at a level that can be, outlines
    stand with their values."""
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("Cover")
    harness.frames(6)
    pilot.touch("Type it")
    for key in ("3", "0", "+/−"):
        pilot.touch_key(key)
    assert pilot.says("Level 30 cannot be: −156 to −31 dBm.")
    pilot.touch("Panel South")
    assert not page_of(pilot).asking.work.busy
    for key in ("+/−", "Del", "Del", "9", "7"):
        pilot.touch_key(key)
    pilot.touch("Panel South")
    answered(pilot)

    assert page_of(pilot).asking.threshold_dbm == -97.0
    assert pilot.says("at −97 dBm")
    assert plan_view(pilot).finding.lines
    assert "50 %" in texts_of(pilot)


def test_gaps_along_a_street_by_its_name_by_a_tap_and_by_holding_it(pilot: Pilot) -> None:
    """Typed, the list narrows to the street; tapped and held it is the one under the finger;
    each time the way is as long as PROJ has that street, with its strip."""
    pilot.touch("Where next")
    harness.frames(6)
    pilot.touch("Gaps in the cover along")
    harness.frames(6)
    pilot.touch(pilot.router.sheets[-1].ids.line)
    pilot.type("keskus")
    harness.frames(4)
    pilot.touch("Keskuskatu")
    answered(pilot)
    page, view = page_of(pilot), plan_view(pilot)
    assert page.answer is not None, page.card.lines
    typed = page.answer
    assert typed.title.startswith("Keskuskatu")
    assert typed.strip is not None
    middle = typed.finding.lines[0].points_m[len(typed.finding.lines[0].points_m) // 2]
    pilot.touch("Figures")
    harness.frames(6)
    assert pilot.says("Chance of cover")
    pilot.back()
    pilot.touch("Take it off")
    pilot.touch("Where next")
    harness.frames(6)
    pilot.touch("Gaps in the cover along")
    harness.frames(6)
    pilot.touch("Tap it on the plan")
    tap(pilot, on_plan(view, tuple(middle)))
    answered(pilot)
    tapped = page.answer
    pilot.touch("Take it off")
    view.centre(*middle.tolist())
    harness.frames(4)
    hold(pilot, in_window(view, 0, 0))
    pilot.touch("Gaps along Keskuskatu")
    answered(pilot)
    held = page.answer

    for answer in (tapped, held):
        assert answer.title == typed.title
        assert answer.strip.along_m[-1] == pytest.approx(typed.strip.along_m[-1], abs=A_PIXEL_M)
    lat, lon = page._plane.to_world(*typed.finding.lines[0].points_m.T)
    assert GEOD.line_length(lon, lat) == pytest.approx(typed.strip.along_m[-1], rel=0.002)


def test_an_azimuth_from_a_walk_is_offered_and_taken(pilot: Pilot) -> None:
    """A panel of no known azimuth, read all round: a tap takes what the readings say, within 5
    degrees of the direction the levels were made from; Undo leaves it unknown again."""
    notebook, site = pilot.session.notebook, site_named(pilot, "Mill Street 3")
    sector = Sector(site_id=site.id, label="Walked", pci=77)
    stops, readings = walked_round(pilot.session.survey.id, site)
    notebook.save(sector, *stops, *readings)
    pilot.session.changed.fire()
    harness.frames(6)
    tap(pilot, mark_of(pilot, "Mill Street 3"))
    pilot.touch("Cover")
    harness.frames(6)
    pilot.touch("Panel Walked no azimuth")
    answered(pilot)
    pilot.touch("Figures")
    harness.frames(8)
    pilot.touch("Azimuth by the readings")
    taken = notebook.get(Sector, sector.id)
    assert taken.azimuth_deg == pytest.approx(WALKED_DEG, abs=5.0)
    assert taken.azimuth_sigma_deg is not None
    pilot.touch("Undo")

    assert notebook.get(Sector, sector.id).azimuth_deg is None


def walked_round(survey_id: str, site: Site) -> tuple[list[Stop], list[Reading]]:
    """Twelve stops round a site and what a panel that faces WALKED_DEG shows at each: free of
    fading, with the pattern of TR 38.901 table 7.3-1 and a loss of 28 dB a decade."""
    phone = "walked phone"
    device = Device(id=phone, label="Walked")
    stops, readings = [device], []
    for nth in range(12):
        turn_deg, far_m = 30.0 * nth + 3.0, 50.0 + 6.0 * (nth % 3)
        lon, lat, _ = GEOD.fwd(site.lon_deg, site.lat_deg, turn_deg, far_m)
        stop = Stop(survey_id=survey_id, number=50 + nth, time_utc=NOW, lat_deg=lat, lon_deg=lon)
        off = abs((turn_deg - WALKED_DEG + 180.0) % 360.0 - 180.0)
        level = -60.0 - 28.0 * log10(far_m / 10.0) - min(12.0 * (off / 65.0) ** 2, 30.0)
        stops.append(stop)
        readings.append(
            Reading(
                stop_id=stop.id, device_id=phone, time_utc=NOW,
                carriers=(Carrier(pci=77, rsrp_dbm=round(level, 1)),),
            )
        )  # fmt: skip
    return stops, readings


def test_two_sites_at_one_place_have_no_way_between(pilot: Pilot) -> None:
    """One sentence says so."""
    near, far = sorted(pilot.session.notebook.all(Site), key=lambda site: len(site.name))
    far = replace(far, lat_deg=near.lat_deg, lon_deg=near.lon_deg)
    pilot.session.save(far, what="a place")
    page = page_of(pilot)
    page.asking.plane = page._plane
    page.asking.gaps(near, far)
    answered(pilot)

    assert pilot.says("stand at one place"), page.card.lines


def test_a_held_place_becomes_a_landmark_that_a_compass_is_checked_against(pilot: Pilot) -> None:
    """One touch places it, Undo takes it away; placed again, the check is against its bearing."""
    view = plan_view(pilot)
    pilot.touch("Fit")
    at = in_window(view, 110, 100)
    hold(pilot, at)
    pilot.touch("Landmark for")
    assert [mark.site.name for mark in view.marks.sites].count("Landmark 1") == 1
    pilot.touch("Undo")
    assert all(mark.site.name != "Landmark 1" for mark in plan_view(pilot).marks.sites)
    hold(pilot, at)
    pilot.touch("Landmark for")
    landmark, stop = site_named(pilot, "Landmark 1"), pilot.session.stop
    tap(pilot, mark_of(pilot, "Landmark 1"))
    pilot.touch("Check a compass against it")
    for key in "90":
        pilot.touch_key(key)
    azimuth = GEOD.inv(stop.lon_deg, stop.lat_deg, landmark.lon_deg, landmark.lat_deg)[0] % 360

    assert landmark.kind is SiteKind.LANDMARK
    assert landmark.position_from is PositionFrom.PLAN
    assert pilot.says(f"{azimuth:.0f}° true")
