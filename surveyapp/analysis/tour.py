"""In which order to walk the day's leads and stands.

Nearest neighbour first, then improved by reversing stretches (G. A. Croes, Operations
Research 6 (1958) 791-812: 2-opt) and by moving short chains (I. Or, 1976: or-opt), until
neither helps; from several starts, the best kept. It need not be the shortest order; by how
much it exceeds that is measured in tests/benchmarks/tour_excess.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.analysis.street_network import Route, StreetNetwork
from surveyapp.errors import OutOfRange
from surveyapp.model import LatLon

MOST_PLACES = 60
_LONGEST_CHAIN = 3
_LEAST_GAIN_M = 1e-6
_STARTS = 8


@dataclass(frozen=True, kw_only=True, slots=True)
class Tour:
    """An order of places (indexes), the way to each, and its whole length on foot."""

    order: tuple[int, ...]
    legs: tuple[Route, ...]
    walk_m: float


def walking_order(
    network: StreetNetwork, start_deg: LatLon, places_deg: Sequence[LatLon], *, back: bool = False
) -> Tour:
    """A short walk from `start_deg` to all the places, and back to the start if asked.

    Raises NoAnswer where no street connects them, OutOfRange for more than MOST_PLACES.
    """
    if len(places_deg) > MOST_PLACES:
        raise OutOfRange(
            f"{len(places_deg)} places are too many for a day's walk: choose up to {MOST_PLACES}.",
            value=len(places_deg),
            allowed=f"up to {MOST_PLACES} places",
        )
    if not places_deg:
        return Tour(order=(), legs=(), walk_m=0.0)
    apart = walking_distances_m(network, [start_deg, *places_deg])
    order = short_order(apart, back=back)
    stations = [start_deg, *(places_deg[index - 1] for index in order)]
    if back:
        stations.append(start_deg)
    legs = tuple(network.route(a, b) for a, b in pairwise(stations))
    return Tour(
        order=tuple(index - 1 for index in order),
        legs=legs,
        walk_m=order_length_m(apart, order, back=back),
    )


def walking_distances_m(network: StreetNetwork, places_deg: Sequence[LatLon]) -> FloatArray:
    """Distances on foot (n, n) between places, with the straight bits off the streets."""
    points = network.on_streets(places_deg)
    apart = np.zeros((len(points), len(points)))
    for row, start in enumerate(points):
        nodes = network.distances_m(start)
        for column in range(row):
            end = points[column]
            length = network.distance_to_m(nodes, start, end) + start.off_m + end.off_m
            apart[row, column] = apart[column, row] = length
    return apart


def order_length_m(apart_m: FloatArray, order: Sequence[int], *, back: bool) -> float:
    """Length of a walk from place 0 through `order`, and back to 0 if asked."""
    stations = [0, *order, *([0] if back else [])]
    return float(sum(apart_m[a, b] for a, b in pairwise(stations)))


def short_order(apart_m: FloatArray, *, back: bool = False) -> list[int]:
    """A short order of the places 1 to n - 1, starting from place 0."""
    count = len(apart_m)
    if count <= 2:
        return list(range(1, count))
    nearest = np.argsort(apart_m[0, 1:], kind="stable")[:_STARTS] + 1
    tried = [_improved(apart_m, _from_nearest(apart_m, int(first)), back) for first in nearest]
    return min(tried, key=lambda order: order_length_m(apart_m, order, back=back))


def _from_nearest(apart_m: FloatArray, first: int) -> list[int]:
    """Always to the nearest place left, beginning with `first`."""
    left = set(range(1, len(apart_m))) - {first}
    order = [first]
    while left:
        nearest = min(left, key=lambda place: (apart_m[order[-1], place], place))
        left.remove(nearest)
        order.append(nearest)
    return order


def _improved(apart_m: FloatArray, order: list[int], back: bool) -> list[int]:
    """Reverse stretches and move chains while that makes the walk shorter."""
    # The walk as stations; an end that is left open costs nothing to reach (station -1).
    away = np.zeros((len(apart_m) + 1,) * 2)
    away[:-1, :-1] = apart_m
    stations = [0, *order, 0 if back else len(apart_m)]
    distance: list[list[float]] = away.tolist()
    while _reverse_once(distance, stations) or _move_once(distance, stations):
        pass
    return stations[1:-1]


def _reverse_once(apart_m: list[list[float]], stations: list[int]) -> bool:
    """Reverse the first stretch found to shorten the walk."""
    for first in range(1, len(stations) - 2):
        before, head = stations[first - 1], stations[first]
        for last in range(first + 1, len(stations) - 1):
            tail, after = stations[last], stations[last + 1]
            now = apart_m[before][head] + apart_m[tail][after]
            if apart_m[before][tail] + apart_m[head][after] < now - _LEAST_GAIN_M:
                stations[first : last + 1] = stations[first : last + 1][::-1]
                return True
    return False


def _move_once(apart_m: list[list[float]], stations: list[int]) -> bool:
    """Move the first chain of up to three found to shorten the walk, turned round or not."""
    for length in range(1, _LONGEST_CHAIN + 1):
        for first in range(1, len(stations) - length):
            chain = stations[first : first + length]
            rest = stations[:first] + stations[first + length :]
            before, after = stations[first - 1], stations[first + length]
            saved = apart_m[before][chain[0]] + apart_m[chain[-1]][after] - apart_m[before][after]
            for place in range(1, len(rest)):
                left, right = rest[place - 1], rest[place]
                for put in (chain, chain[::-1]):
                    cost = apart_m[left][put[0]] + apart_m[put[-1]][right] - apart_m[left][right]
                    if cost < saved - _LEAST_GAIN_M:
                        stations[:] = rest[:place] + put + rest[place:]
                        return True
    return False
