"""Where things stand: real lamps and house walls for the nodes, real streets for the stops.

All choices are drawn from the seed; the same ground and seed give the same places.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from surveyapp.demo.plan import SITES, SitePlan
from surveyapp.demo.town import Spot, Town
from surveyapp.errors import NoAnswer
from surveyapp.model import Rat, SiteKind

EYE_M = 1.5
SITES_APART_M = (100.0, 230.0)  # between a node and the nearest other one
UNLISTED_APART_M = (170.0, 280.0)  # the node nobody has noted stands at the edge
FIRST_OFF_CENTRE_M = 200.0
CLOSER = (1.0, 0.75, 0.5)  # how far both wishes give way where no place fits
VIEW_M = (20.0, 130.0)  # how far off a node should see the street
TRIED = 8  # places looked at for each node
LOOKS = 14  # street points each of them is judged by
STANDS_APART_M = 20.0
STAND_M = (18.0, 140.0)  # from a stop to the nearest listed 5G node
POOL = 60  # street points that stops are chosen from
EDGE_M = (20.0, 70.0)  # from such a stop to the unlisted node
EDGE_POOL = 20
EDGE_STANDS = 2  # stops at the unlisted node, which the surveyor has not noticed
CLEAR_SHARE = 0.6  # of the stops, see a listed 5G node
HIDDEN_M = (25.0, 110.0)  # how near a node is that the blocked stop does not see


def place_sites(town: Town, rng: np.random.Generator) -> list[Spot]:
    """One spot for each of SITES: apart from each other, and with a good view of the street."""
    chosen: list[Spot] = []
    for plan in SITES:
        spots = town.lamps if plan.kind is SiteKind.LAMP_POST else town.walls
        apart_m = SITES_APART_M if plan.listed else UNLISTED_APART_M
        fitting = ([s for s in spots if _fits(s, chosen, apart_m, c)] for c in CLOSER)
        near = next((found for found in fitting if found), None)
        if near is None:
            raise NoAnswer(
                f"The demo finds no place for {plan.name} ({plan.kind.value}): "
                "the ground is too small or holds too few lamps and buildings."
            )
        tried = [near[index] for index in rng.permutation(len(near))[:TRIED]]
        chosen.append(max(tried, key=lambda spot: _view(town, spot, plan, rng)))
    return chosen


def place_stands(
    town: Town, sites: Sequence[Spot], count: int, rng: np.random.Generator
) -> tuple[list[Spot], int]:
    """`count` stops in walking order, and which of them is hidden from the node next to it.

    They are chosen around the listed 5G nodes: those are what the surveyor came for.
    """
    nodes = [(spot, plan) for spot, plan in zip(sites, SITES, strict=True) if plan.rat is Rat.NR]
    listed = [index for index, (_, plan) in enumerate(nodes) if plan.listed]
    unlisted = [index for index, (_, plan) in enumerate(nodes) if not plan.listed]
    pool = _pool(town, [nodes[index][0] for index in listed], STAND_M, rng)[:POOL]
    pool += _pool(town, [nodes[index][0] for index in unlisted], EDGE_M, rng)[:EDGE_POOL]
    clear = np.array([sees(town, spot, nodes) for spot in pool])
    apart_m = np.array([[_apart_m(spot, site) for site, _ in nodes] for spot in pool])
    nearest = apart_m.argmin(axis=1)
    at_edge = np.isin(nearest, unlisted) & clear[np.arange(len(pool)), nearest]
    in_view = clear[:, listed].any(axis=1)
    wishes = (
        (at_edge, 1 + EDGE_STANDS),
        (in_view & ~at_edge, 1 + EDGE_STANDS + round(CLEAR_SHARE * count)),
        (~in_view & ~at_edge, count),
        (~at_edge, count),
    )
    hidden = _hidden(clear[:, listed], apart_m[:, listed])
    chosen = _choose(pool, hidden, [(_in_turn(fits, nearest), room) for fits, room in wishes])
    if len(chosen) < count:
        raise NoAnswer(f"The demo finds only {len(chosen)} of {count} places to stand.")
    walk = _walk([pool[index] for index in chosen])
    return walk, walk.index(pool[hidden])


def sees(town: Town, spot: Spot, sites: Sequence[tuple[Spot, SitePlan]]) -> list[bool]:
    """Whether each site has a clear line of sight from a spot on the street."""
    skyline = town.skyline(spot, EYE_M)
    return [
        skyline.sight_line(town.to_world(site), target_height_m=plan.height_m).clear
        for site, plan in sites
    ]


def _fits(spot: Spot, chosen: Sequence[Spot], apart_m: tuple[float, float], closer: float) -> bool:
    if not chosen:
        return hypot(spot.east_m, spot.north_m) < FIRST_OFF_CENTRE_M / closer
    nearest_m = min(_apart_m(spot, other) for other in chosen)
    return apart_m[0] * closer <= nearest_m <= apart_m[1] / closer


def _view(town: Town, spot: Spot, plan: SitePlan, rng: np.random.Generator) -> int:
    """How many of some street points around are seen from the node."""
    around = [street for street in town.street if VIEW_M[0] < _apart_m(street, spot) < VIEW_M[1]]
    looked_at = rng.permutation(len(around))[:LOOKS]
    skyline = town.skyline(spot, plan.height_m)
    return sum(
        skyline.sight_line(town.to_world(around[index]), target_height_m=EYE_M).clear
        for index in looked_at
    )


def _pool(
    town: Town, nodes: Sequence[Spot], off_m: tuple[float, float], rng: np.random.Generator
) -> list[Spot]:
    """The street points that far off the nearest of some nodes, in a drawn order."""
    near = [
        street
        for street in town.street
        if off_m[0] < min(_apart_m(street, node) for node in nodes) < off_m[1]
    ]
    return [near[index] for index in rng.permutation(len(near))]


def _hidden(clear: NDArray[np.bool_], apart_m: NDArray[np.float64]) -> int:
    """The stop whose nearest node is close by and yet not in sight."""
    nearest = apart_m.argmin(axis=1)
    rows = np.arange(len(apart_m))
    near_m = apart_m[rows, nearest]
    fits = ~clear[rows, nearest] & (near_m > HIDDEN_M[0]) & (near_m < HIDDEN_M[1])
    if not fits.any():
        raise NoAnswer("The demo finds no place where a house hides the nearest node.")
    return int(np.argmin(np.where(fits, near_m, np.inf)))


def _choose(pool: Sequence[Spot], first: int, wishes: Sequence[tuple[list[int], int]]) -> list[int]:
    """Indexes of the pool, far enough from each other, by one wish after the other.

    A wish names indexes in the order they are wanted, and how many there may be by then.
    """
    chosen = [first]
    for wanted, room in wishes:
        for index in wanted:
            if len(chosen) < room and _is_free(pool[index], [pool[other] for other in chosen]):
                chosen.append(index)
    return chosen


def _in_turn(fits: NDArray[np.bool_], nearest: NDArray[np.intp]) -> list[int]:
    """Those of the pool that fit, one of each nearest node after the other."""
    rank = [int(np.count_nonzero(fits[:index] & (nearest[:index] == node)))
            for index, node in enumerate(nearest)]  # fmt: skip
    return sorted(np.flatnonzero(fits).tolist(), key=lambda index: rank[index])


def _walk(spots: Sequence[Spot]) -> list[Spot]:
    """The same spots, each followed by the nearest one left, from the westernmost on."""
    left = sorted(spots, key=lambda spot: spot.east_m)
    walk = [left.pop(0)]
    while left:
        nearest = min(left, key=lambda spot: _apart_m(spot, walk[-1]))
        left.remove(nearest)
        walk.append(nearest)
    return walk


def _is_free(spot: Spot, taken: Sequence[Spot]) -> bool:
    return all(_apart_m(spot, other) >= STANDS_APART_M for other in taken)


def _apart_m(one: Spot, other: Spot) -> float:
    return hypot(one.east_m - other.east_m, one.north_m - other.north_m)
