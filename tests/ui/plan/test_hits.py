"""What lies under a finger, distances checked against shapely."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from surveyapp.model import Sighting, Site
from surveyapp.ui.plan.hits import hits
from surveyapp.ui.plan.marks import Place, PlanMarks, RayMark, SiteMark

metres = st.integers(-10_000, 10_000).map(lambda centimetres: centimetres / 100)
places = st.builds(Place, metres, metres)
REACH_M = 20.0


def site_at(place: Place) -> SiteMark:
    """A site there."""
    return SiteMark(Site(name="Node"), place)


def ray(start: Place, end: Place) -> RayMark:
    """A sighting along that line."""
    return RayMark(Sighting(stop_id="s", site_id="n"), "Node", start, end, True)


@given(st.lists(places, max_size=8), places)
def test_points_within_reach_come_nearest_first(sites: list[Place], finger: Place) -> None:
    """The same points as shapely finds in the circle, in order of distance."""
    marks = PlanMarks(sites=tuple(map(site_at, sites)))
    found = [Point(mark.at).distance(Point(finger)) for mark in hits(marks, finger, REACH_M)]
    wanted = sorted(d for d in (Point(p).distance(Point(finger)) for p in sites) if d <= REACH_M)

    assert found == pytest.approx(wanted)


@given(places, places, places)
def test_a_line_is_hit_at_half_the_reach(start: Place, end: Place, finger: Place) -> None:
    """By the distance to its nearest point, its ends included."""
    off_m = LineString([start, end]).distance(Point(finger))
    if abs(off_m - REACH_M / 2) < 1e-6:
        return

    assert bool(hits(PlanMarks(rays=(ray(start, end),)), finger, REACH_M)) == (off_m < REACH_M / 2)


def test_a_point_goes_before_a_line() -> None:
    """A finger on a ray close to a site means the site."""
    marks = PlanMarks(rays=(ray(Place(-50, 0), Place(50, 0)),), sites=(site_at(Place(8, 3)),))
    found = hits(marks, Place(0, 0), REACH_M)

    assert [type(mark) for mark in found] == [SiteMark, RayMark]
