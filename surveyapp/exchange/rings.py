"""Rings of a polygon: joined from pieces, measured, and asked what they hold.

Everything works in degrees on one small patch of ground: joining compares corners exactly,
and areas serve only as ratios between neighbours, so no projection is needed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

from surveyapp.model import LatLon

Ring = tuple[LatLon, ...]


def is_ring(points: Sequence[LatLon]) -> bool:
    """True for a closed line with at least three different corners."""
    return len(points) >= 4 and points[0] == points[-1] and len(set(points)) >= 3


def join_rings(pieces: Sequence[Sequence[LatLon]]) -> tuple[list[Ring], int]:
    """Closed rings made of lines that meet at their ends, and how many lines were left over.

    Lines are used in the order given and turned round where needed, as the members of an
    OpenStreetMap multipolygon have no direction.
    """
    rings: list[Ring] = []
    left_over = 0
    at_end: dict[LatLon, list[int]] = defaultdict(list)
    for number, piece in enumerate(pieces):
        if len(piece) >= 2:
            at_end[piece[0]].append(number)
            at_end[piece[-1]].append(number)
    for numbers in at_end.values():
        numbers.reverse()  # so that the first is last, and what is used up can be dropped
    used = [len(piece) < 2 for piece in pieces]
    left_over += sum(used)
    for number, piece in enumerate(pieces):
        if used[number]:
            continue
        used[number] = True
        chain = list(piece)
        members = 1
        while chain[0] != chain[-1]:
            waiting = at_end[chain[-1]]
            while waiting and used[waiting[-1]]:
                waiting.pop()
            if not waiting:
                break
            follower = waiting.pop()
            used[follower] = True
            members += 1
            points = pieces[follower]
            chain.extend(points[1:] if points[0] == chain[-1] else points[-2::-1])
        if is_ring(chain):
            rings.append(tuple(chain))
        else:
            left_over += members
    return rings, left_over


def ring_area(ring: Sequence[LatLon]) -> float:
    """Area in square degrees by the shoelace formula; only ratios of it have a meaning."""
    lat0, lon0 = ring[0]
    doubled = 0.0
    for (lat_a, lon_a), (lat_b, lon_b) in pairwise(ring):
        doubled += (lon_a - lon0) * (lat_b - lat0) - (lon_b - lon0) * (lat_a - lat0)
    return abs(doubled) / 2.0


def ring_holds(ring: Sequence[LatLon], lat_deg: float, lon_deg: float) -> bool:
    """True where the point lies inside the ring (even-odd rule, Jordan's curve theorem)."""
    inside = False
    for crossing in _crossings(ring, lat_deg):
        if crossing > lon_deg:
            inside = not inside
    return inside


def inner_point(ring: Sequence[LatLon]) -> LatLon:
    """A point inside the ring, also for a bent one: middle of the widest cut across it."""
    lats = sorted({lat for lat, _ in ring})
    if len(lats) < 2:
        return ring[0]
    middle = len(lats) // 2
    lat_deg = (lats[middle - 1] + lats[middle]) / 2.0
    cuts = sorted(_crossings(ring, lat_deg))
    spans = [(b - a, (a + b) / 2.0) for a, b in zip(cuts[::2], cuts[1::2], strict=False)]
    return (lat_deg, max(spans)[1]) if spans else ring[0]


def _crossings(ring: Sequence[LatLon], lat_deg: float) -> list[float]:
    """Longitudes at which the ring's edges cross a parallel."""
    return [
        lon_a + (lat_deg - lat_a) / (lat_b - lat_a) * (lon_b - lon_a)
        for (lat_a, lon_a), (lat_b, lon_b) in pairwise(ring)
        if (lat_a > lat_deg) != (lat_b > lat_deg)
    ]
