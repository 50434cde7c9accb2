"""The ground's streets as a network to walk on: junctions, shortest ways, whole streets.

Streets meet where they share a point, as in OpenStreetMap data. Shortest ways by E. W.
Dijkstra, A note on two problems in connexion with graphs, Numerische Mathematik 1 (1959)
269-271, with a heap.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.analysis.street_kinds import is_walked
from surveyapp.errors import NoAnswer
from surveyapp.geometry.date_line import amid
from surveyapp.geometry.geodesy import check_position
from surveyapp.geometry.plan_projection import REACH_M, Plane
from surveyapp.model import LatLon, Street

IntArray = NDArray[np.intp]

OFF_STREET_M = 250.0  # a place farther than this from any street is on none
SAME_PLACE_M = 5.0
_DECIMALS = 7  # of a degree, as OpenStreetMap has them: about a centimetre


@dataclass(frozen=True, slots=True)
class OnStreet:
    """The point of the network nearest to a place: on an edge, at a share of its length."""

    edge: int
    share: float
    off_m: float


@dataclass(frozen=True, slots=True)
class Route:
    """A way along streets: its points (k, 2), latitude and longitude, and metres along it (k).

    `off_m` is how far the two places lie from the street where the way begins and ends.
    """

    points_deg: FloatArray = field(repr=False)
    along_m: FloatArray = field(repr=False)
    off_m: tuple[float, float] = (0.0, 0.0)

    @property
    def length_m(self) -> float:
        """Length along the streets."""
        return float(self.along_m[-1])

    @property
    def walk_m(self) -> float:
        """Length with the straight bits at either end."""
        return self.length_m + sum(self.off_m)

    def at(self, along_m: FloatArray) -> FloatArray:
        """Latitude and longitude (..., 2) of places so far along."""
        lat, lon = (np.interp(along_m, self.along_m, column) for column in self.points_deg.T)
        return np.stack([lat, lon], axis=-1)


class StreetNetwork:
    """Walkable streets of a ground. Raises NoAnswer where it holds none.

    Streets of one point are passed over. `nodes_m` (nodes, 2) are in the plane, `ends`
    (edges, 2) node numbers, `length_m` (edges) and `street_of` (edges) indexes of `streets`.
    """

    def __init__(self, streets: Sequence[Street]) -> None:
        self.streets = tuple(s for s in streets if is_walked(s.kind) and len(s.points_deg) > 1)
        if not self.streets:
            raise NoAnswer(
                "The ground holds no street to walk on: bring in the streets of your survey first."
            )
        number: dict[LatLon, int] = {}
        lines = [
            [
                number.setdefault((round(lat, _DECIMALS), round(lon, _DECIMALS)), len(number))
                for lat, lon in street.points_deg
            ]
            for street in self.streets
        ]
        self.nodes_deg = np.array(list(number), dtype=np.float64)
        self.plane = Plane(*amid(self.nodes_deg))
        self.nodes_m = np.column_stack(self.plane.to_plane(*self.nodes_deg.T))
        pairs = [
            (a, b, index) for index, line in enumerate(lines) for a, b in pairwise(line) if a != b
        ]
        if not pairs:
            raise NoAnswer("The ground's streets have no length: bring in the streets again.")
        held = np.array(pairs, dtype=np.intp)
        self.ends: IntArray = held[:, :2]
        self.street_of: IntArray = held[:, 2]
        self.length_m = np.hypot(*(self.nodes_m[self.ends[:, 1]] - self.nodes_m[self.ends[:, 0]]).T)
        self._beside: list[list[tuple[int, float]]] = [[] for _ in range(len(self.nodes_m))]
        for (a, b), length in zip(self.ends.tolist(), self.length_m.tolist(), strict=True):
            self._beside[a].append((b, length))
            self._beside[b].append((a, length))
        self._part_of_edge = _parts(self._beside)[self.ends[:, 0]]

    def route(self, start_deg: LatLon, end_deg: LatLon) -> Route:
        """The shortest way on foot; raises NoAnswer where no street is near or none connects."""
        start, end = self.on_streets([start_deg, end_deg])
        off_m = (start.off_m, end.off_m)
        if start.edge == end.edge:
            return self._as_route(np.array([self.point_m(start), self.point_m(end)]), off_m)
        distance, before = self._search(start, set(self.ends[end.edge].tolist()))
        a, b = (int(node) for node in self.ends[end.edge])
        length = float(self.length_m[end.edge])
        by_a, by_b = distance[a] + end.share * length, distance[b] + (1.0 - end.share) * length
        nodes = [a if by_a <= by_b else b]
        while before[nodes[-1]] >= 0:
            nodes.append(before[nodes[-1]])
        points = [self.point_m(start), *self.nodes_m[nodes[::-1]], self.point_m(end)]
        return self._as_route(np.array(points), off_m)

    def on_streets(self, places_deg: Sequence[LatLon]) -> list[OnStreet]:
        """Where on the streets some places are, all on one connected part of the network.

        Raises NoAnswer where a place is too far from any street, or no part is near all.
        """
        found = [self._feet(place) for place in places_deg]
        parts = int(np.max(self._part_of_edge)) + 1
        nearest = np.full((len(found), parts), np.inf)
        for row, (off_m, _) in zip(nearest, found, strict=True):
            np.minimum.at(row, self._part_of_edge, off_m)
        for row, place in zip(nearest, places_deg, strict=True):
            self._check_near(float(row.min()), place)
        near_all = np.where((nearest <= OFF_STREET_M).all(axis=0), nearest.sum(axis=0), np.inf)
        best = int(np.argmin(near_all))
        if not np.isfinite(near_all[best]):
            raise NoAnswer(
                "No street of the ground connects these places: bring in a larger ground, or "
                "choose places on the same streets."
            )
        return [self._nearest(off_m, share, best) for off_m, share in found]

    def distances_m(self, start: OnStreet) -> FloatArray:
        """Walking distance (nodes) from a point of the network; infinite where none leads."""
        return np.array(self._search(start, None)[0])

    def distance_to_m(self, from_nodes_m: FloatArray, start: OnStreet, end: OnStreet) -> float:
        """Distance along the streets to a point, from `distances_m` of the same start."""
        if start.edge == end.edge:
            return float(abs(start.share - end.share) * self.length_m[end.edge])
        a, b = self.ends[end.edge]
        length = self.length_m[end.edge]
        return float(
            min(from_nodes_m[a] + end.share * length, from_nodes_m[b] + (1 - end.share) * length)
        )

    def point_m(self, at: OnStreet) -> FloatArray:
        """The point in the network's plane (2)."""
        a, b = self.nodes_m[self.ends[at.edge]]
        return np.asarray(a + at.share * (b - a))

    def named(self, name: str) -> tuple[Route, ...]:
        """The lines of the street of this name, longest first, in pieces where it is broken.

        Raises NoAnswer where no street is called so.
        """
        wanted = name.strip().casefold()
        edges = [
            e for e, s in enumerate(self.street_of) if self.streets[s].name.casefold() == wanted
        ]
        if not edges or not wanted:
            raise NoAnswer(f"No street of the ground is called '{name}': choose one on the plan.")
        beside: dict[int, list[int]] = {}
        for a, b in self.ends[edges].tolist():
            beside.setdefault(a, []).append(b)
            beside.setdefault(b, []).append(a)
        order = sorted(beside, key=lambda node: len(beside[node]) != 1)  # from loose ends on
        lines = [_line(beside, node) for node in order if beside[node]]
        routes = [self._as_route(self.nodes_m[line], (0.0, 0.0)) for line in lines]
        return tuple(sorted(routes, key=lambda route: -route.length_m))

    def _as_route(self, points_m: FloatArray, off_m: tuple[float, float]) -> Route:
        steps = np.hypot(*np.diff(points_m, axis=0).T)
        kept = np.append(True, steps > 1e-6)
        kept[-1] = True
        along = np.concatenate([[0.0], np.cumsum(steps)])
        points = np.column_stack(self.plane.to_world(points_m[kept, 0], points_m[kept, 1]))
        return Route(points, along[kept], off_m)

    def _search(self, start: OnStreet, goals: set[int] | None) -> tuple[list[float], list[int]]:
        """Distances and the node before, by node, until all goals are settled."""
        distance = [math.inf] * len(self.nodes_m)
        before = [-1] * len(self.nodes_m)
        waiting: list[tuple[float, int]] = []
        a, b = (int(node) for node in self.ends[start.edge])
        length = float(self.length_m[start.edge])
        for node, away in ((a, start.share * length), (b, (1.0 - start.share) * length)):
            distance[node] = away
            heapq.heappush(waiting, (away, node))
        left = set(goals) if goals is not None else None
        while waiting and left != set():
            away, node = heapq.heappop(waiting)
            if away > distance[node]:
                continue
            if left is not None:
                left.discard(node)
            for other, step in self._beside[node]:
                if away + step < distance[other]:
                    distance[other] = away + step
                    before[other] = node
                    heapq.heappush(waiting, (away + step, other))
        return distance, before

    def _feet(self, place_deg: LatLon) -> tuple[FloatArray, FloatArray]:
        """Distance (edges) of a place from each edge, and the share at its foot."""
        check_position(*place_deg)
        lat0, lon0 = self.plane.lat0_deg, self.plane.lon0_deg
        far_off = (
            abs(place_deg[0] - lat0) > 5.0 or abs((place_deg[1] - lon0 + 180) % 360 - 180) > 5.0
        )
        if far_off:  # beyond any plan, and perhaps beyond the plane
            return np.full(len(self.length_m), REACH_M), np.zeros(len(self.length_m))
        point = np.array(self.plane.to_plane(*place_deg))
        start = self.nodes_m[self.ends[:, 0]]
        along = self.nodes_m[self.ends[:, 1]] - start
        share = np.clip(np.sum((point - start) * along, axis=1) / self.length_m**2, 0.0, 1.0)
        return np.hypot(*(point - start - share[:, None] * along).T), share

    def _nearest(self, off_m: FloatArray, share: FloatArray, part: int) -> OnStreet:
        edge = int(np.argmin(np.where(self._part_of_edge == part, off_m, np.inf)))
        return OnStreet(edge, float(share[edge]), float(off_m[edge]))

    @staticmethod
    def _check_near(off_m: float, place_deg: LatLon) -> None:
        if off_m > OFF_STREET_M:
            far = "more than 500 km" if off_m >= REACH_M / 2 else (
                f"{off_m / 1000:.0f} km" if off_m >= 1000.0 else f"{off_m:.0f} m"
            )  # fmt: skip
            raise NoAnswer(
                f"The ground's nearest street is {far} from {place_deg[0]:.5f}, "
                f"{place_deg[1]:.5f}: bring in the streets of that place."
            )


def _parts(beside: Sequence[Sequence[tuple[int, float]]]) -> IntArray:
    """The connected part (nodes) that each node belongs to."""
    part = np.full(len(beside), -1, dtype=np.intp)
    count = 0
    for first in range(len(beside)):
        if part[first] >= 0:
            continue
        part[first] = count
        waiting = [first]
        while waiting:
            for other, _ in beside[waiting.pop()]:
                if part[other] < 0:
                    part[other] = count
                    waiting.append(other)
        count += 1
    return part


def _line(beside: dict[int, list[int]], node: int) -> list[int]:
    """Follow one line of a street to its end, taking its edges away."""
    line = [node]
    while beside[line[-1]]:
        there = beside[line[-1]].pop()
        beside[there].remove(line[-1])
        line.append(there)
    return line
