"""Rings joined, measured and asked, with shapely as the oracle."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon

from surveyapp.exchange.rings import inner_point, is_ring, join_rings, ring_area, ring_holds

SQUARE = ((60.0, 24.0), (60.0, 24.1), (60.1, 24.1), (60.1, 24.0), (60.0, 24.0))
BENT = ((0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (9.0, 8.0), (1.0, 8.0), (1.0, 0.0), (0.0, 0.0))
of_a_square_degree = 1e-9


@given(seed=st.integers(0, 10**6), cuts=st.integers(1, 5))
def test_a_ring_cut_into_turned_and_shuffled_pieces_is_found_again(seed: int, cuts: int) -> None:
    """Members of a relation come in any order and direction."""
    chance = random.Random(seed)
    places = sorted(chance.sample(range(1, len(BENT) - 1), min(cuts, len(BENT) - 2)))
    ends = [0, *places, len(BENT) - 1]
    pieces = [list(BENT[a : b + 1]) for a, b in pairwise(ends)]
    chance.shuffle(pieces)
    pieces = [piece[::-1] if chance.random() < 0.5 else piece for piece in pieces]

    rings, left_over = join_rings(pieces)

    assert left_over == 0
    assert len(rings) == 1
    assert sorted(set(rings[0])) == sorted(rings[0][1:]) == sorted(BENT[1:])
    assert ring_area(rings[0]) == pytest.approx(Polygon(BENT).area, abs=of_a_square_degree)


def test_what_does_not_close_is_counted_and_left_out() -> None:
    """An open chain, an empty piece and a line there and back are no rings."""
    rings, left_over = join_rings([SQUARE, BENT[:4], (), ((1.0, 1.0), (2.0, 2.0), (1.0, 1.0))])

    assert rings == [SQUARE]
    assert left_over == 3


@pytest.mark.parametrize(
    ("points", "ring"),
    [(SQUARE, True), (SQUARE[:-1], False), (SQUARE[:2], False), ((SQUARE[0],) * 4, False)],
)
def test_a_ring_is_closed_and_has_three_corners(points: tuple, ring: bool) -> None:
    """Two points, or one point four times, enclose nothing."""
    assert is_ring(points) is ring


@given(lat=st.floats(-1, 10), lon=st.floats(-1, 10))
def test_inside_and_outside_agree_with_shapely(lat: float, lon: float) -> None:
    """The even-odd rule, away from the edge itself where either answer would do."""
    polygon, point = Polygon(BENT), Point(lat, lon)
    if polygon.boundary.distance(point) > of_a_square_degree:
        assert ring_holds(BENT, lat, lon) is polygon.contains(point)


def test_the_inner_point_of_a_bent_ring_lies_inside() -> None:
    """The centroid of an L-shaped house may lie in its garden; this point does not."""
    polygon = Polygon(BENT)

    assert not polygon.contains(polygon.centroid)
    assert polygon.contains(Point(inner_point(BENT)))
