"""The day's walk: against every order there is."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from surveyapp.analysis.street_network import StreetNetwork
from surveyapp.analysis.tour import order_length_m, short_order, walking_order
from surveyapp.errors import NoAnswer, OutOfRange
from tests.analysis.streets import CENTRE, grid_ground, world
from tests.benchmarks.tour_excess import blocks_apart_m, shortest_length_m


@pytest.mark.parametrize("back", [False, True])
def test_the_order_is_close_to_the_shortest_of_all(back: bool) -> None:
    """30 draws of 7 places among blocks: 1 % longer than brute force on average, 15 % at worst."""
    random = np.random.default_rng(1)
    excess = []
    for _ in range(30):
        apart = blocks_apart_m(random, 7)
        best = min(order_length_m(apart, order, back=back) for order in permutations(range(1, 7)))
        ours = order_length_m(apart, short_order(apart, back=back), back=back)
        excess.append(ours / best - 1.0)

    assert min(excess) >= -1e-9
    assert np.mean(excess) <= 0.01
    assert max(excess) <= 0.15


def test_the_benchmarks_exact_answer_is_that_of_brute_force() -> None:
    """Dynamic programming (Held and Karp, 1962) and all permutations agree."""
    random = np.random.default_rng(2)
    for back in (False, True):
        apart = blocks_apart_m(random, 6)
        best = min(order_length_m(apart, o, back=back) for o in permutations(range(1, 6)))

        assert shortest_length_m(apart, back=back) == pytest.approx(best, abs=1e-9)


def test_a_walk_visits_every_place_once() -> None:
    """Along one street, from its middle: first the near end, then the far one."""
    network = StreetNetwork(grid_ground().streets)
    places = [world(250, 0), world(-100, 0), world(120, 0), world(-40, 0)]
    tour = walking_order(network, CENTRE, places)

    assert tour.order == (3, 1, 2, 0)
    assert tour.walk_m == pytest.approx(450.0, abs=0.1)
    assert sum(leg.walk_m for leg in tour.legs) == pytest.approx(tour.walk_m, abs=0.1)
    assert walking_order(network, CENTRE, places, back=True).walk_m == pytest.approx(700.0, abs=0.1)


def test_nothing_too_much_and_nowhere() -> None:
    """No place is no walk; too many, and one off the ground, are told."""
    network = StreetNetwork(grid_ground().streets)

    assert walking_order(network, CENTRE, []).order == ()
    with pytest.raises(OutOfRange, match="too many"):
        walking_order(network, CENTRE, [CENTRE] * 61)
    with pytest.raises(NoAnswer, match="nearest street"):
        walking_order(network, CENTRE, [world(5000, 0)])
