"""The plan's geometry, against pyproj: its projection and its directions on the ellipsoid."""

from __future__ import annotations

import re

import numpy as np
import pytest
from pyproj import Geod, Proj
from scipy.spatial import Delaunay

from surveyapp.model import Sector, Sighting, Site, SiteStatus, Stop, Survey, View
from surveyapp.report.account import Account
from surveyapp.report.cover import neighbours
from surveyapp.report.plan import BORESIGHT_M, lay_out
from surveyapp.report.plan_svg import WIDTH, plan_svg
from surveyapp.report.record import record_of
from tests.report.conftest import NOON
from tests.report.reading_pages import Page

TENTH_OF_A_UNIT = 0.051
ONE_MILLIMETRE_M = 1e-3
THOUSANDTH_DEG = 1e-3


def test_stops_stand_where_an_independent_projection_puts_them(account: Account) -> None:
    """Each circle of the drawing lies at its stop's place in pyproj's azimuthal equidistant."""
    plan = lay_out(account.record)
    assert plan is not None
    aeqd = Proj(proj="aeqd", lat_0=plan.plane.lat0_deg, lon_0=plan.plane.lon0_deg, ellps="WGS84")
    drawn = Page(str(plan_svg(plan))).of("circle")
    stops = list(reversed(account.record.of(Stop)))

    assert len(drawn) == len(stops)
    for circle, stop in zip(drawn, stops, strict=True):
        east, north = aeqd(stop.lon_deg, stop.lat_deg)
        scale = WIDTH / plan.box.width_m
        assert float(circle.attributes["cx"]) == pytest.approx(
            (east - plan.box.west_m) * scale, abs=TENTH_OF_A_UNIT
        )
        assert float(circle.attributes["cy"]) == pytest.approx(
            (plan.box.north_m - north) * scale, abs=TENTH_OF_A_UNIT
        )


def test_boresights_and_beams_point_where_the_geodesic_goes(account: Account) -> None:
    """The tip of a panel's line lies in its azimuth, and its arc is as wide as its beam."""
    plan = lay_out(account.record)
    assert plan is not None
    geod = Geod(ellps="WGS84")
    for mark in plan.sites:
        for panel in mark.panels:
            tip = plan.plane.to_world(*panel.boresight_m[1])
            azimuth, _, length = geod.inv(
                mark.site.lon_deg, mark.site.lat_deg, float(tip[1]), float(tip[0])
            )
            turned = (azimuth - (panel.sector.azimuth_deg or 0.0) + 180.0) % 360.0 - 180.0
            assert abs(turned) < THOUSANDTH_DEG * 10
            assert length == pytest.approx(BORESIGHT_M, abs=ONE_MILLIMETRE_M)
            legs = panel.arc_m[[0, -1]] - panel.boresight_m[0]
            cosine = legs[0] @ legs[1] / BORESIGHT_M**2
            assert np.degrees(np.arccos(cosine)) == pytest.approx(65.0, abs=THOUSANDTH_DEG)


def test_a_sighting_is_drawn_along_its_bearing_and_broken_where_the_view_was_not_clear() -> None:
    """From the stop, in the direction seen, as long as the way to the site."""
    survey = Survey(title="Rays")
    site = Site(name="Node", lat_deg=60.001, lon_deg=25.0, status=SiteStatus.SEEN)
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=60.0, lon_deg=25.0)
    seen = [
        Sighting(stop_id=stop.id, site_id=site.id, bearing_deg=90.0, view=View.CLEAR),
        Sighting(stop_id=stop.id, site_id=site.id, bearing_deg=0.0, view=View.BLOCKED),
    ]

    plan = lay_out(record_of((survey, site, stop, *seen)))

    assert plan is not None
    _, _, apart = Geod(ellps="WGS84").inv(25.0, 60.0, 25.0, 60.001)
    east, north = plan.rays
    assert np.subtract(east.to_m, east.from_m) == pytest.approx((apart, 0.0), abs=0.01)
    assert np.subtract(north.to_m, north.from_m) == pytest.approx((0.0, apart), abs=0.01)
    assert (east.clear, north.clear) == (True, False)
    assert str(plan_svg(plan)).count('class="unclear"') == 1


def test_the_scale_bar_is_as_long_as_it_says(account: Account) -> None:
    """Its length in units over the drawing's width is its metres over the plan's width."""
    plan = lay_out(account.record)
    assert plan is not None
    text = str(plan_svg(plan))
    metres = int(re.findall(r">(\d+) m<", text)[-1])
    bar = re.findall(r"M1\.0 ([\d.]+)L([\d.]+) \1", text)[-1]

    assert (float(bar[1]) - 1.0) / WIDTH == pytest.approx(metres / plan.box.width_m, abs=1e-3)


@pytest.mark.parametrize("status", list(SiteStatus))
def test_each_status_of_a_site_has_its_own_sign(status: SiteStatus) -> None:
    """Not by colour alone: filled, open, broken, barred or crossed."""
    survey = Survey(title="Signs")
    rows = [Site(name="Node", lat_deg=60.0, lon_deg=25.0, status=one) for one in (status,)]
    plan = lay_out(record_of((survey, *rows)))
    assert plan is not None
    others = {
        other: str(plan_svg(lay_out(record_of((survey, Site(name="Node", lat_deg=60.0,
                            lon_deg=25.0, status=other))))))  # type: ignore[arg-type]
        for other in SiteStatus
        if other is not status
    }  # fmt: skip

    assert str(plan_svg(plan)) not in others.values()


def test_a_stray_position_does_not_shrink_the_plan() -> None:
    """A stop noted on another continent is left off; the others keep their scale."""
    survey = Survey(title="Stray")
    stops = [
        Stop(survey_id=survey.id, number=number, time_utc=NOON, lat_deg=lat, lon_deg=25.0)
        for number, lat in enumerate((60.0, 60.001, 60.002), start=1)
    ]
    stray = Stop(survey_id=survey.id, number=4, time_utc=NOON, lat_deg=55.0, lon_deg=25.0)

    plan = lay_out(record_of((survey, *stops, stray)))

    assert plan is not None
    assert [mark.stop.number for mark in plan.stops] == [1, 2, 3]
    assert plan.box.height_m < 500.0


def test_a_panel_without_an_azimuth_is_not_drawn() -> None:
    """No line is better than a wrong one."""
    survey = Survey(title="No azimuth")
    site = Site(name="Node", lat_deg=60.0, lon_deg=25.0)

    plan = lay_out(record_of((survey, site, Sector(site_id=site.id, label="S1"))))

    assert plan is not None
    assert plan.sites[0].panels == ()


def test_neighbours_are_edges_of_the_delaunay_triangulation() -> None:
    """A Gabriel graph is part of it (Gabriel and Sokal 1969), and scipy gives the whole."""
    rng = np.random.default_rng(3)
    places = 60.0 + rng.random((25, 2)) * (0.01, 0.02)
    sites = [Site(name=str(i), lat_deg=a, lon_deg=b - 35.0) for i, (a, b) in enumerate(places)]
    aeqd = Proj(proj="aeqd", lat_0=60.005, lon_0=25.01, ellps="WGS84")
    mesh = Delaunay(np.column_stack(aeqd(places[:, 1] - 35.0, places[:, 0])))
    edges = {frozenset((a, b)) for s in mesh.simplices.tolist() for a in s for b in s if a != b}

    found = [frozenset((int(a.name), int(b.name))) for a, b in neighbours(sites)]

    assert set(found) <= edges
    assert len(found) == len(set(found)) >= len(sites) - 1


def test_on_a_phone_the_names_have_a_placing_of_their_own(page: str) -> None:
    """Letters drawn larger for a phone once lay over the diamonds: they are placed anew."""
    groups = re.findall(r'<g class="sites names( on-phone)?">(.*?)</g>', page, flags=re.DOTALL)
    places = [re.findall(r'x="([\d.]+)" y="([\d.]+)"', names) for _, names in groups]

    assert [which for which, _ in groups] == ["", " on-phone"]
    assert len(places[0]) == len(places[1]) == 6
    assert not set(places[0]) & set(places[1])
