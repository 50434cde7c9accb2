"""What sightings tell of a site: bearings and facings made from a known truth are found again."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from surveyapp.analysis.site_sightings import fix_or_reason, panel_facings, site_fix, site_height
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.model import PositionFrom, Sector, Sighting, Site, Stop, View

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)
TRUTH = (60.17, 24.94)
HALF_A_METRE = 0.5
TENTH_DEGREE = 0.1
A_CENTIMETRE = 0.01
EYE_M = 1.6  # of a standing surveyor (common practice)
SITE = Site(name="Mill Street 3", lat_deg=60.1703, lon_deg=24.94, position_sigma_m=20.0)
PANEL = Sector(site_id=SITE.id, label="South", azimuth_deg=170.0)


def seen_from(azimuth_deg: float, facing_deg: float | None = None) -> tuple[Stop, Sighting]:
    """A stop 80 m from the truth in this direction, and the true bearing from it."""
    lat_deg, lon_deg = destination(*TRUTH, azimuth_deg, 80.0)
    stop = Stop(survey_id="s", number=1, time_utc=NOON, lat_deg=lat_deg, lon_deg=lon_deg,
                position_sigma_m=2.0)  # fmt: skip
    bearing_deg = inverse(lat_deg, lon_deg, *TRUTH).azimuth_deg
    sighting = Sighting(stop_id=stop.id, site_id=SITE.id, sector_id=PANEL.id, sigma_deg=2.0,
                        bearing_deg=bearing_deg, facing_deg=facing_deg)  # fmt: skip
    return stop, sighting


SEEN = [seen_from(180.0, 0.0), seen_from(225.0, -45.0), seen_from(90.0)]
STOPS = {stop.id: stop for stop, _ in SEEN}
SIGHTINGS = [sighting for _, sighting in SEEN]


def test_exact_bearings_meet_at_the_truth_and_the_site_takes_it_over() -> None:
    """The distance from the place noted is that of the geodesic."""
    found = site_fix(SITE, SIGHTINGS, STOPS)
    placed = found.taken_over(SITE)

    assert inverse(placed.lat_deg, placed.lon_deg, *TRUTH).distance_m < HALF_A_METRE
    assert found.from_noted_m == pytest.approx(
        inverse(SITE.lat_deg, SITE.lon_deg, *TRUTH).distance_m, abs=HALF_A_METRE
    )
    assert placed.position_from is PositionFrom.SIGHTINGS
    assert 1.0 < placed.position_sigma_m < found.fix.ellipse_major_m
    assert (placed.name, placed.id) == (SITE.name, SITE.id)


def test_a_blocked_view_and_a_stop_without_a_place_take_no_part() -> None:
    """Two of three are left, and with one it is refused with the reason."""
    first, second, third = SIGHTINGS
    blocked = replace(third, view=View.BLOCKED, bearing_deg=3.0)
    assert site_fix(SITE, [first, second, blocked], STOPS).sightings == 2
    bare = {**STOPS, second.stop_id: replace(STOPS[second.stop_id], lat_deg=None, lon_deg=None)}

    with pytest.raises(NoAnswer):
        site_fix(SITE, [first, second, blocked], bare)
    assert fix_or_reason(SITE, [first], STOPS).endswith(".")


def test_a_panels_azimuth_follows_from_how_it_was_seen_turned() -> None:
    """Seen head on from the south, and half turned from the south-west: it faces south."""
    (told,) = panel_facings([PANEL], SIGHTINGS)

    assert told.azimuth.azimuth_deg == pytest.approx(180.0, abs=TENTH_DEGREE)
    assert told.sightings == 2
    assert told.from_noted_deg == pytest.approx(10.0, abs=TENTH_DEGREE)
    assert told.taken_over().azimuth_sigma_deg == told.azimuth.sigma_deg


def test_a_panel_never_seen_turned_is_left_out() -> None:
    """Nothing is claimed of it."""
    assert panel_facings([replace(PANEL, id="other")], SIGHTINGS) == ()


def test_a_height_follows_from_elevations_and_the_place_noted_or_the_distance_told() -> None:
    """By plain trigonometry; a blocked view, no elevation and no distance take no part."""
    site = replace(SITE, lat_deg=TRUTH[0], lon_deg=TRUTH[1])
    up_deg = math.degrees(math.atan((9.0 - EYE_M) / 80.0))
    raised = [replace(one, elevation_deg=up_deg) for one in SIGHTINGS]
    told_m = replace(SIGHTINGS[0], elevation_deg=45.0, distance_m=9.0 - EYE_M)
    homeless = {stop.id: replace(stop, lat_deg=None, lon_deg=None) for stop, _ in SEEN}

    height, count = site_height(site, raised, STOPS)
    assert (count, height.height_m) == (3, pytest.approx(9.0, abs=A_CENTIMETRE))
    assert site_height(site, [told_m], homeless)[0].height_m == pytest.approx(9.0)
    assert site_height(site, raised, homeless) is None
    assert site_height(site, [replace(raised[0], view=View.BLOCKED)], STOPS) is None
    assert site_height(site, SIGHTINGS, STOPS) is None
