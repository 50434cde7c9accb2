"""The ground in squares: nothing lost, nothing twice, the middle of the window first."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.geometry.plan_projection import Plane
from surveyapp.ui.plan.ground_shapes import lay_out_ground
from surveyapp.ui.plan.tiles import FAR_M, MOST_SEEN, NEAR_M, Tile, box_deg, tiles_seen
from surveyapp.ui.plan.viewport import Viewport
from tests.ui.place_scenes import quarter

A_HAIR_M = 1e-6


def test_squares_side_by_side_hold_each_thing_once() -> None:
    """All buildings and all lamps of the quarter, over the squares that cover it."""
    ground = quarter()
    plane = Plane(*ground.streets[0].points_deg[0])
    whole = lay_out_ground(ground, plane)
    sides = range(-8, 9)
    parts = [
        lay_out_ground(ground, plane, Tile(True, column, row).box_m)
        for column in sides
        for row in sides
    ]

    assert sum(len(part.buildings) for part in parts) == len(whole.buildings)
    assert sum(len(part.names) for part in parts) == len(whole.names)
    for kind, places in whole.furniture.items():
        assert sum(len(part.furniture.get(kind, ())) for part in parts) == len(places)


@given(st.integers(-5000, 5000), st.integers(-5000, 5000), st.floats(0.005, 20.0))
def test_the_middle_comes_first_and_all_near_it_comes(
    east_m: int, north_m: int, px_per_m: float
) -> None:
    """The first square holds the middle; where few are needed they cover the window."""
    viewport = Viewport(360, 600, east_m, north_m, px_per_m)
    found = tiles_seen(viewport, 1.0)
    west, south, east, north = found[0].box_m
    assert west - A_HAIR_M <= east_m <= east + A_HAIR_M
    assert south - A_HAIR_M <= north_m <= north + A_HAIR_M
    assert len(found) == len(set(found)) <= MOST_SEEN
    side = NEAR_M if found[0].near else FAR_M
    west, south, east, north = viewport.box_m
    columns = np.floor(east / side) - np.floor(west / side) + 1
    rows = np.floor(north / side) - np.floor(south / side) + 1
    assert len(found) == columns * rows or len(found) == MOST_SEEN


@pytest.mark.parametrize("near", [True, False])
def test_the_box_on_earth_holds_the_square(near: bool) -> None:
    """Points of the square projected back lie in the box."""
    plane, tile = Plane(60.17, 24.94), Tile(near, 3, -2)
    west, south, east, north = tile.box_m
    e, n = np.meshgrid(np.linspace(west, east, 9), np.linspace(south, north, 9))
    lat, lon = plane.to_world(e.ravel(), n.ravel())
    low_lat, low_lon, high_lat, high_lon = box_deg(tile, plane)
    hair_deg = 1e-6  # edges bow by centimetres: queries are a metre generous

    assert (lat >= low_lat - hair_deg).all()
    assert (lat <= high_lat + hair_deg).all()
    assert (lon >= low_lon - hair_deg).all()
    assert (lon <= high_lon + hair_deg).all()
