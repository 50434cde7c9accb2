"""Places where a surveyor can stand and get to: beside or on walkable streets, outdoors.

Along streets with traffic the places lie on the pavement, outside the carriageway; paths and
pedestrian streets are stood on as they are. None lies inside a building or within any
street's carriageway, and each can be walked to on the ground's streets. Whether a place is
private, fenced or parked full the ground does not tell: look before you go.

A ground without streets still has free places: a lattice out of its buildings, told in a
straight line, of which nobody knows whether one may stand there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from surveyapp.analysis.sector_panel import BoolArray, FloatArray
from surveyapp.analysis.street_kinds import PAVEMENT_M, half_width_m, is_walked
from surveyapp.analysis.street_network import OnStreet, StreetNetwork
from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, Ground, LatLon, Street

STEP_M = 10.0
SAME_M = 4.0  # two places nearer than this are one
_CHUNK = 256


@dataclass(frozen=True, slots=True)
class StandingPlaces:
    """n places in the network's plane (`east_m`, `north_m`) with the walk to each from here.

    `on_streets` is False for free places, their walks straight lines.
    """

    plane: Plane
    east_m: FloatArray = field(repr=False)
    north_m: FloatArray = field(repr=False)
    walk_m: FloatArray = field(repr=False)
    on_streets: bool = True

    def at(self, index: int) -> LatLon:
        """Latitude and longitude of one place."""
        lat, lon = self.plane.to_world(self.east_m[index], self.north_m[index])
        return float(lat), float(lon)

    def take(self, kept: BoolArray) -> StandingPlaces:
        """Some of the places."""
        return StandingPlaces(
            self.plane, self.east_m[kept], self.north_m[kept], self.walk_m[kept], self.on_streets
        )


def standing_places(
    ground: Ground,
    network: StreetNetwork,
    here_deg: LatLon,
    about_deg: LatLon,
    radius_m: float,
) -> StandingPlaces:
    """All places within `radius_m` of `about_deg` that can be walked to from `here_deg`.

    `network` is that of the ground's streets. Raises NoAnswer where no street is near here,
    or there is no such place.
    """
    (start,) = network.on_streets([here_deg])
    centre = np.array(network.plane.to_plane(*about_deg))
    edges = _edges_near(network, centre, radius_m)
    points, edge_of, share = _sampled(network, edges)
    walk = _walks(network, start, edge_of, share)
    kept = np.isfinite(walk) & (np.hypot(*(points - centre).T) <= radius_m)
    points, walk = points[kept], walk[kept]
    kept = ~in_buildings(ground.buildings, network.plane, points)
    points, walk = points[kept], walk[kept]
    kept = ~on_carriageways(ground.streets, network.plane, points)
    points, walk = _thinned(points[kept], walk[kept])
    if not len(points):
        raise NoAnswer(
            f"Within {radius_m:.0f} m there is no place to stand that streets lead to: "
            "look on the plan, or bring in a larger ground."
        )
    return StandingPlaces(network.plane, points[:, 0], points[:, 1], walk)


def free_places(
    ground: Ground, here_deg: LatLon, about_deg: LatLon, radius_m: float
) -> StandingPlaces:
    """Places within `radius_m` of `about_deg` out of buildings, in a straight line from here.

    For a ground without streets. Raises NoAnswer where buildings take all of it.
    """
    plane = Plane(*about_deg)
    along = np.arange(-radius_m, radius_m + STEP_M, STEP_M)
    points = np.stack(np.meshgrid(along, along), axis=-1).reshape(-1, 2)
    points = points[np.hypot(*points.T) <= radius_m]
    points = points[~in_buildings(ground.buildings, plane, points)]
    if not len(points):
        raise NoAnswer(f"Within {radius_m:.0f} m there are only buildings: look on the plan.")
    walk = np.hypot(*(points - np.array(plane.to_plane(*here_deg))).T)
    return StandingPlaces(plane, points[:, 0], points[:, 1], walk, on_streets=False)


def in_buildings(buildings: Sequence[Building], plane: Plane, points_m: FloatArray) -> BoolArray:
    """Which points (n, 2) lie inside a building; courtyards count as outdoors (even-odd rule)."""
    inside = np.zeros(len(points_m), dtype=bool)
    if not len(points_m):
        return inside
    low, high = points_m.min(axis=0), points_m.max(axis=0)
    for building in buildings:
        rings = [
            np.column_stack(plane.to_plane(*np.array(ring).T))
            for ring in (building.outline_deg, *building.holes_deg)
            if len(ring) >= 4
        ]
        if not rings or (rings[0].max(axis=0) < low).any() or (rings[0].min(axis=0) > high).any():
            continue
        near = np.flatnonzero(
            ((points_m >= rings[0].min(axis=0)) & (points_m <= rings[0].max(axis=0))).all(axis=1)
        )
        odd = np.zeros(len(near), dtype=bool)
        for ring in rings:
            odd ^= _ring_holds(ring, points_m[near])
        inside[near] |= odd
    return inside


def on_carriageways(streets: Sequence[Street], plane: Plane, points_m: FloatArray) -> BoolArray:
    """Which points (n, 2) lie within half a carriageway of a driven street's middle."""
    driven = [s for s in streets if half_width_m(s.kind) > 0.0 and len(s.points_deg) > 1]
    on = np.zeros(len(points_m), dtype=bool)
    if not driven or not len(points_m):
        return on
    lines = [np.column_stack(plane.to_plane(*np.array(s.points_deg).T)) for s in driven]
    start = np.concatenate([line[:-1] for line in lines])
    along = np.concatenate([np.diff(line, axis=0) for line in lines])
    half = np.repeat([half_width_m(s.kind) for s in driven], [len(line) - 1 for line in lines])
    low, high = points_m.min(axis=0) - half[:, None], points_m.max(axis=0) + half[:, None]
    near = (np.minimum(start, start + along) <= high).all(axis=1)
    near &= (np.maximum(start, start + along) >= low).all(axis=1)
    start, along, half = start[near], along[near], half[near]
    length2 = np.maximum(np.sum(along**2, axis=1), 1e-12)
    for first in range(0, len(points_m), _CHUNK):
        off = points_m[first : first + _CHUNK, None, :] - start
        share = np.clip(np.sum(off * along, axis=2) / length2, 0.0, 1.0)
        away2 = np.sum((off - share[..., None] * along) ** 2, axis=2)
        on[first : first + _CHUNK] = (away2 < half**2).any(axis=1)
    return on


def _edges_near(network: StreetNetwork, centre_m: FloatArray, radius_m: float) -> np.ndarray:
    """Numbers of the network's edges whose boxes come within the circle's box."""
    ends = network.nodes_m[network.ends]
    reach = radius_m + 20.0
    near = (ends.min(axis=1) <= centre_m + reach) & (ends.max(axis=1) >= centre_m - reach)
    return np.flatnonzero(near.all(axis=1))


def _sampled(
    network: StreetNetwork, edges: np.ndarray
) -> tuple[FloatArray, np.ndarray, FloatArray]:
    """Points (n, 2) along edges every STEP_M, both pavements where there is traffic."""
    points, edge_of, shares = [np.empty((0, 2))], [np.empty(0, dtype=np.intp)], [np.empty(0)]
    for edge in edges.tolist():
        length = float(network.length_m[edge])
        count = max(1, round(length / STEP_M))
        share = (np.arange(count) + 0.5) / count
        a, b = network.nodes_m[network.ends[edge]]
        middle = a + share[:, None] * (b - a)
        kind = network.streets[network.street_of[edge]].kind
        side = np.array([b[1] - a[1], a[0] - b[0]]) / max(length, 1e-9)
        half = half_width_m(kind)
        offsets = [0.0] if half == 0.0 else [half + PAVEMENT_M, -half - PAVEMENT_M]
        for offset in offsets if is_walked(kind) else []:
            points.append(middle + offset * side)
            edge_of.append(np.full(count, edge, dtype=np.intp))
            shares.append(share)
    return np.concatenate(points), np.concatenate(edge_of), np.concatenate(shares)


def _walks(
    network: StreetNetwork, start: OnStreet, edge_of: np.ndarray, share: FloatArray
) -> FloatArray:
    """Walking distance (n) to points on edges; infinite where none leads there."""
    if not len(edge_of):
        return np.empty(0)
    nodes = network.distances_m(start)
    a, b = network.ends[edge_of].T
    length = network.length_m[edge_of]
    walk = np.minimum(nodes[a] + share * length, nodes[b] + (1.0 - share) * length)
    own = edge_of == start.edge
    walk[own] = np.abs(share[own] - start.share) * length[own]
    return np.asarray(walk + start.off_m)


def _thinned(points_m: FloatArray, walk_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """One point for each cell of SAME_M, the nearest to walk to."""
    if not len(points_m):
        return points_m, walk_m
    order = np.argsort(walk_m, kind="stable")
    cells = np.floor(points_m[order] / SAME_M).astype(np.int64)
    _, first = np.unique(cells, axis=0, return_index=True)
    kept = order[np.sort(first)]
    return points_m[kept], walk_m[kept]


def _ring_holds(ring: FloatArray, points_m: FloatArray) -> BoolArray:
    """Even-odd rule: a ray to the east crosses the ring an odd number of times."""
    east, north = points_m[:, :1], points_m[:, 1:]
    (x1, y1), (x2, y2) = ring[:-1].T, ring[1:].T
    crosses = (y1 > north) != (y2 > north)
    rise = np.where(y2 == y1, 1.0, y2 - y1)
    at = x1 + (north - y1) / rise * (x2 - x1)
    return np.asarray(np.count_nonzero(crosses & (at > east), axis=1) % 2 == 1)
