"""The ground: what was brought in is found by box, and only that."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic  # type: ignore[import-untyped]
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue
from surveyapp.model import Building, Furniture, FurnitureKind, Ground, Street
from surveyapp.store import Notebook
from surveyapp.store.reach import box_around, within
from tests.store.one_of_each import GROUND

WORLD = (-90.0, -180.0, 90.0, 180.0)
HALF_STEP_DEG = 0.51e-7  # shapes are packed in steps of 1e-7 degree
FLOAT_DEG = 2e-5  # R*Tree boxes are 32-bit floats, rounded outwards (sqlite.org/rtree.html)
QUIET = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
LATS, LONS = st.floats(-90, 90), st.floats(-180, 180)
STREETS = st.lists(
    st.lists(st.tuples(LATS, LONS), min_size=1, max_size=4).map(
        lambda points: Street(name="x", points_deg=tuple(points))
    ),
    max_size=8,
)


def test_the_ground_comes_back_as_it_was(notebook: Notebook) -> None:
    """Names, kinds, holes, heights and missing heights, and the attribution."""
    notebook.ground.replace(GROUND, "a file")
    with Notebook.open(notebook.path) as other:
        assert other.ground.within(*WORLD) == GROUND
        assert other.ground.attribution == GROUND.attribution
        assert other.ground.source == "a file"
        assert other.ground.bounds == (60.17, 24.94, 60.1712345, 24.9421)
        assert other.check() == []


def test_new_ground_takes_the_place_of_the_old(notebook: Notebook) -> None:
    """Nothing of the old remains; no ground at all is allowed."""
    notebook.ground.replace(GROUND, "a file")
    notebook.ground.replace(Ground(attribution="other"), "nothing")

    assert notebook.ground.within(*WORLD) == Ground(attribution="other")
    assert notebook.ground.bounds is None


def test_a_notebook_without_ground_has_none(notebook: Notebook) -> None:
    """Empty answers, no errors."""
    assert notebook.ground.within(*WORLD) == Ground()
    assert notebook.ground.attribution == ""
    assert notebook.ground.bounds is None


@pytest.mark.parametrize("point", [(91.0, 0.0), (math.nan, 0.0), (0.0, 181.0), (0.0, math.inf)])
def test_a_point_that_is_no_place_refuses_the_whole(
    notebook: Notebook, point: tuple[float, float]
) -> None:
    """The old ground stays."""
    notebook.ground.replace(GROUND, "a file")
    lamp = Furniture(kind=FurnitureKind.LAMP, lat_deg=point[0], lon_deg=point[1])
    for bad in (
        Ground(furniture=(lamp,)),
        Ground(streets=(Street(points_deg=((0.0, 0.0), point)),)),
        Ground(buildings=(Building(outline_deg=((0.0, 0.0),), holes_deg=((point,),)),)),
        Ground(streets=(Street(),)),
    ):
        with pytest.raises(InvalidValue):
            notebook.ground.replace(bad, "bad")

    assert notebook.ground.within(*WORLD) == GROUND


@QUIET
@given(STREETS, LATS, LATS, LONS, LONS)
def test_a_box_finds_all_that_touches_it(
    notebook: Notebook, streets: list[Street], lat: float, other_lat: float, west: float,
    east: float,
) -> None:  # fmt: skip
    """Against a plain walk over all streets; also where the box crosses the date line."""
    south, north = sorted((lat, other_lat))
    notebook.ground.replace(Ground(streets=tuple(streets)), "generated")
    found = notebook.ground.within(south, west, north, east).streets
    spans = [(west, east)] if west <= east else [(west, 180.0), (-180.0, east)]

    def touching(spare_deg: float) -> int:
        count = 0
        for street in streets:
            lats, lons = zip(*street.points_deg, strict=True)
            count += (max(lats) >= south - spare_deg and min(lats) <= north + spare_deg) and any(
                max(lons) >= first - spare_deg and min(lons) <= last + spare_deg
                for first, last in spans
            )
        return count

    surely = touching(-HALF_STEP_DEG)
    if west > east:  # a box of two parts joins streets that are equal
        surely = min(surely, 1)

    assert surely <= len(found) <= touching(FLOAT_DEG)

    every = notebook.ground.within(*WORLD).streets
    for kept, given_street in zip(every, streets, strict=True):
        for place, point in zip(kept.points_deg, given_street.points_deg, strict=True):
            assert place == pytest.approx(point, abs=HALF_STEP_DEG)


@QUIET
@given(LATS, LONS, st.floats(0, 360), st.floats(1.0, 5000.0))
def test_a_circle_lies_in_its_box(lat: float, lon: float, azimuth: float, radius: float) -> None:
    """Every place within the radius, by Karney's geodesic as oracle, is in the box."""
    box = box_around(lat, lon, radius)
    place = Geodesic.WGS84.Direct(lat, lon, azimuth, radius)
    inside = (
        box.west_deg <= place["lon2"] <= box.east_deg
        if box.west_deg <= box.east_deg
        else place["lon2"] >= box.west_deg or place["lon2"] <= box.east_deg
    )

    assert box.south_deg <= place["lat2"] <= box.north_deg
    assert inside or math.isclose(abs(place["lon2"]), 180.0) or abs(place["lat2"]) > 89.9999


@QUIET
@given(st.floats(-85, 85), LONS, st.floats(0, 360), st.floats(1.0, 5000.0))
def test_reach_agrees_with_the_geodesic(
    lat: float, lon: float, azimuth: float, radius: float
) -> None:
    """Within and beyond, to two thousandths, with Karney's geodesic as oracle."""
    place = Geodesic.WGS84.Direct(lat, lon, azimuth, radius)

    assert within(lat, lon, place["lat2"], place["lon2"], radius * 1.002)
    assert not within(lat, lon, place["lat2"], place["lon2"], radius * 0.998)
