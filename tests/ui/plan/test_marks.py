"""The rows of a notebook laid out in the plane, directions and fixes included."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from math import atan2, degrees, hypot

import numpy as np
import pytest
from pyproj import Geod
from shapely.geometry import Polygon

from surveyapp.geometry.headings import declination
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import NorthReference, Photo, Sector, Sighting, Site, Stop
from surveyapp.ui.plan.laying_out import FREE_RAY_M, Rows, ellipse, lay_out
from surveyapp.ui.plan.marks import Place
from surveyapp.ui.plan.stop_marks import StopColumns

GEOD = Geod(ellps="WGS84")
LAT_DEG, LON_DEG = 60.1700, 24.9400
PLANE = Plane(LAT_DEG, LON_DEG)
NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
A_CENTIMETRE = 0.01
A_TENTH_DEGREE = 0.1


def at(azimuth_deg: float, distance_m: float) -> tuple[float, float]:
    """(lat_deg, lon_deg) as PROJ finds it from the centre of the plane."""
    lon, lat, _ = GEOD.fwd(LON_DEG, LAT_DEG, azimuth_deg, distance_m)
    return lat, lon


def stop(number: int, azimuth_deg: float, distance_m: float) -> Stop:
    """A stop at that distance from the centre."""
    lat, lon = at(azimuth_deg, distance_m)
    return Stop(survey_id="v", number=number, time_utc=NOW, lat_deg=lat, lon_deg=lon)


def bearing_to(stop: Stop, lat: float, lon: float) -> float:
    """The bearing as PROJ finds it."""
    return GEOD.inv(stop.lon_deg, stop.lat_deg, lon, lat)[0] % 360.0


def azimuth_of(start: Place, end: Place) -> float:
    """The direction in the plane."""
    return degrees(atan2(end.east_m - start.east_m, end.north_m - start.north_m)) % 360.0


def test_a_site_lies_where_proj_puts_it() -> None:
    """120 m at 35 degrees from the centre, to the centimetre."""
    lat, lon = at(35.0, 120.0)
    marks = lay_out(Rows(sites=[Site(name="Node", lat_deg=lat, lon_deg=lon)]), PLANE)
    east_m, north_m = marks.sites[0].at

    assert hypot(east_m, north_m) == pytest.approx(120.0, abs=A_CENTIMETRE)
    assert azimuth_of(Place(0, 0), marks.sites[0].at) == pytest.approx(35.0, abs=A_TENTH_DEGREE)


def test_exact_bearings_meet_in_a_fix_and_the_rays_end_there() -> None:
    """A site without a place of its own stands where its sightings meet."""
    lat, lon = at(80.0, 150.0)
    stops = [stop(1, 200.0, 60.0), stop(2, 350.0, 90.0), stop(3, 120.0, 80.0)]
    site = Site(name="Node")
    sightings = [
        Sighting(stop_id=s.id, site_id=site.id, bearing_deg=bearing_to(s, lat, lon), sigma_deg=3.0)
        for s in stops
    ]
    marks = lay_out(
        Rows(sites=[site], stops=StopColumns.of(stops), sighted_from=stops, sightings=sightings),
        PLANE,
    )
    true = Place(*map(float, PLANE.to_plane(lat, lon)))

    assert marks.fixes[0].at == pytest.approx(true, abs=0.1)
    assert marks.sites[0].at == marks.fixes[0].at
    assert Polygon(marks.fixes[0].ring_m).contains(Polygon(marks.fixes[0].ring_m).centroid)
    for ray in marks.rays:
        assert ray.end == pytest.approx(true, abs=0.5)
        assert ray.ends_somewhere


def test_parallel_bearings_give_no_fix_but_the_reason() -> None:
    """The plan is drawn all the same."""
    stops = [stop(1, 90.0, 50.0), stop(2, 90.0, 51.0)]
    site = Site(name="Node")
    sightings = [Sighting(stop_id=s.id, site_id=site.id, bearing_deg=90.0) for s in stops]
    marks = lay_out(
        Rows(sites=[site], stops=StopColumns.of(stops), sighted_from=stops, sightings=sightings),
        PLANE,
    )

    assert not marks.fixes
    assert marks.refusals[site.id].endswith(".")
    assert len(marks.rays) == 2


def test_a_bare_bearing_is_drawn_as_open_ended() -> None:
    """One sighting of an unplaced site: as long as FREE_RAY_M, towards its bearing."""
    here = stop(1, 0.0, 10.0)
    site = Site(name="Node")
    sighting = Sighting(stop_id=here.id, site_id=site.id, bearing_deg=123.0)
    rows = Rows(
        sites=[site], stops=StopColumns.of([here]), sighted_from=[here], sightings=[sighting]
    )
    (ray,) = lay_out(rows, PLANE).rays

    assert not ray.ends_somewhere
    assert azimuth_of(ray.start, ray.end) == pytest.approx(123.0)
    assert hypot(ray.end[0] - ray.start[0], ray.end[1] - ray.start[1]) == pytest.approx(FREE_RAY_M)


def test_only_a_true_direction_is_drawn_for_a_photo() -> None:
    """A magnetic one is turned by the declination of its place and day, or not drawn."""
    lat, lon = at(10.0, 20.0)
    photos = [
        Photo(survey_id="v", file="a.jpg", lat_deg=lat, lon_deg=lon, direction_deg=40.0,
              direction_reference=reference)
        for reference in (NorthReference.TRUE, NorthReference.MAGNETIC)
    ]  # fmt: skip
    dated = replace(photos[1], time_utc=datetime(2026, 6, 1, tzinfo=UTC))
    marks = lay_out(Rows(photos=[*photos, dated]), PLANE)
    turned = declination(lat, lon, date(2026, 6, 1)).declination_deg

    assert [mark.direction_deg for mark in marks.photos[:2]] == [40.0, None]
    assert marks.photos[2].direction_deg == pytest.approx(40.0 + turned, abs=0.01)


def test_a_panel_without_azimuth_and_a_row_without_a_place_are_left_out() -> None:
    """Nothing is drawn that is not known."""
    lat, lon = at(0.0, 5.0)
    site = Site(name="Node", lat_deg=lat, lon_deg=lon)
    sectors = [Sector(site_id=site.id), Sector(site_id=site.id, azimuth_deg=0.0)]
    marks = lay_out(Rows(sites=[site, Site(name="Lead")], sectors=sectors), PLANE)

    assert [mark.site.name for mark in marks.sites] == ["Node"]
    assert [sector.azimuth_deg for sector in marks.sites[0].sectors] == [0.0]


def test_the_ring_of_an_ellipse_has_its_axes_and_its_area() -> None:
    """Half axes 30 and 10 m at azimuth 40: area pi a b, longest along 40 degrees."""
    ring = ellipse(Place(5.0, -3.0), 30.0, 10.0, 40.0)
    away = ring - (5.0, -3.0)
    far = away[np.argmax(np.hypot(*away.T))]

    assert Polygon(ring).area == pytest.approx(np.pi * 300.0, rel=0.002)
    assert azimuth_of(Place(0, 0), Place(*far)) % 180.0 == pytest.approx(40.0)
