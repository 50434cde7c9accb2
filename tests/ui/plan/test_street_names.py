"""Street names on a real quarter: on their street, upright, and none over another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from shapely.geometry import LineString, MultiLineString, Point

from surveyapp.exchange.formats import read_ground
from surveyapp.geometry.plan_projection import Plane
from surveyapp.resources import shipped
from surveyapp.ui.plan.ground_shapes import GroundShapes, lay_out_ground
from surveyapp.ui.plan.labels import overlap, place
from surveyapp.ui.plan.street_names import joined, name_places
from surveyapp.ui.plan.viewport import Viewport
from tests.ui.plan.test_labels import polygon

HALF_A_METRE = 0.5


@pytest.fixture(scope="module")
def shapes() -> GroundShapes:
    """The quarter that comes with the program, its named streets joined."""
    ground = read_ground(shipped("sample_surveys", "quarter.osm.gz"))
    lat_deg, lon_deg = ground.streets[0].points_deg[0]
    found = lay_out_ground(ground, Plane(lat_deg, lon_deg))
    return replace(found, names=tuple(joined(found.names)))


def measure(name: str) -> tuple[float, float]:
    """As wide as a usual face writes it."""
    return 7.0 * len(name), 16.0


@pytest.mark.parametrize("px_per_m", [0.4, 1.0, 3.0])
def test_names_stand_on_their_streets_and_cover_no_other(
    shapes: GroundShapes, px_per_m: float
) -> None:
    """At three scales; the middle of a name is on a street of that name."""
    view = Viewport(900, 900, *_middle(shapes), px_per_m)
    placed = place(name_places(shapes.names, view, measure))

    assert len(placed) >= 3
    for found, box in placed:
        lines = [LineString(line.points_m) for line in shapes.names if line.name == found.name]
        off_m = MultiLineString(lines).distance(Point(found.east_m, found.north_m))
        assert off_m < max(HALF_A_METRE, 0.06 * box.width_px / px_per_m)
        assert -90.0 <= found.turn_deg <= 90.0
        assert box.lies_in(900, 900)
    for (_, one), (_, other) in combinations(placed, 2):
        assert not overlap(one, other)
        assert polygon(one).intersection(polygon(other)).area < 1.0


def test_pieces_of_one_street_are_chained(shapes: GroundShapes) -> None:
    """No line of a name ends where another of that name and kind begins."""
    ends: dict[tuple[str, str], list[tuple[float, ...]]] = {}
    for line in shapes.names:
        for end in (line.points_m[0], line.points_m[-1]):
            ends.setdefault((line.name, line.kind), []).append(tuple(end.round(2)))
    closed = {name for name, found in ends.items() if len(found) == 2}

    assert len(closed) > len(ends) / 2


def _middle(shapes: GroundShapes) -> tuple[float, float]:
    points = np.concatenate([street.from_m for street in shapes.streets])
    east, north = (points.min(axis=0) + points.max(axis=0)) / 2
    return float(east), float(north)
