"""Which of many places are in sight of a panel, past the ground's buildings, in one sweep.

The rule of surveyapp.geometry.line_of_sight, turned round to look from the panel, so that
each wall is compared only with the places in its own shadow. A building's wall stands in the
way where the straight line passes it below its roof. A place inside a building counts as out
of sight (there the indoor loss is not known).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from surveyapp.analysis.sector_panel import USER_HEIGHT_M, BoolArray, FloatArray, SectorPanel
from surveyapp.geometry.line_of_sight import DEFAULT_HEIGHT_M, END_GRACE_M
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building

PLANES_KEPT = 4  # of all walls each: a page asks about its map, then one way after another
_MOST_PAIRS = 1_000_000


class Roofs:
    """The walls of a ground's buildings, ready to be looked past from any panel."""

    def __init__(
        self, buildings: Sequence[Building], *, default_height_m: float = DEFAULT_HEIGHT_M
    ) -> None:
        rings = [
            (ring, default_height_m if building.height_m is None else building.height_m)
            for building in buildings
            for ring in (building.outline_deg, *building.holes_deg)
            if len(ring) >= 4
        ]
        points = [np.asarray(ring, dtype=np.float64) for ring, _ in rings]
        self._walls_deg = np.concatenate(
            [np.hstack([ring[:-1], ring[1:]]) for ring in points] or [np.empty((0, 4))]
        )
        self._height_m = np.repeat(
            np.array([height for _, height in rings]), [len(ring) - 1 for ring in points]
        )

        self._walls_m: dict[Plane, FloatArray] = {}

    def walls(self, plane: Plane) -> FloatArray:
        """Ends (walls, 2 ends, 2: east and north) of every wall; the last planes' are kept."""
        if plane not in self._walls_m:
            if len(self._walls_m) >= PLANES_KEPT:
                self._walls_m.pop(next(iter(self._walls_m)))
            ends = self._walls_deg.reshape(-1, 2, 2)
            self._walls_m[plane] = np.stack(plane.to_plane(ends[..., 0], ends[..., 1]), axis=-1)
        return self._walls_m[plane]

    def clear_from(
        self, panel: SectorPanel, plane: Plane, east_m: FloatArray, north_m: FloatArray
    ) -> BoolArray:
        """True, of the places' shape, where the panel is in sight of a phone."""
        own = np.array([float(value) for value in plane.to_plane(panel.lat_deg, panel.lon_deg)])
        shape = np.broadcast(east_m, north_m).shape
        places = np.column_stack([np.ravel(east_m), np.ravel(north_m)]) - own
        reach_m = float(np.max(np.hypot(*places.T), initial=0.0))
        walls = self.walls(plane) - own
        near = _distance(walls) <= reach_m
        walls, roofs_m = walls[near], self._height_m[near]
        if len(places) * len(walls) <= _MOST_PAIRS:
            return ~_hidden(places, walls, roofs_m, panel.height_m).reshape(shape)
        azimuth = np.arctan2(*places.T)
        order = np.argsort(azimuth, kind="stable")
        fan = _Fan(azimuth[order], places[order], panel.height_m)
        for wall, roof_m in zip(walls, roofs_m.tolist(), strict=True):
            fan.hide_behind(wall, roof_m)
        clear = np.empty(len(order), dtype=bool)
        clear[order] = ~fan.hidden
        return clear.reshape(shape)


def _hidden(
    places: FloatArray, walls: FloatArray, roofs_m: FloatArray, height_m: float
) -> BoolArray:
    """Which places (n) some wall hides, each compared with each: quickest for a few places."""
    along = walls[:, 1] - walls[:, 0]
    over = _cross(walls[:, 0], along)
    under = _cross(places[:, None, :], along)
    under = np.where(np.abs(under) < 1e-12, np.inf, under)  # along the wall: never through it
    share = over / under  # of the line's length, where it meets the wall
    met = _cross(walls[:, 0], places[:, None, :]) / under  # of the wall's
    line_m = height_m + share * (USER_HEIGHT_M - height_m)
    grace = END_GRACE_M / np.maximum(np.hypot(*places.T), 1e-9)
    stands = (share > grace[:, None]) & (share < 1.0) & (met >= 0.0) & (met <= 1.0)
    return np.asarray((stands & (line_m < roofs_m)).any(axis=1))


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


class _Fan:
    """Places about a panel in the order of their azimuths (radians), and which are hidden."""

    def __init__(self, azimuth: FloatArray, places: FloatArray, height_m: float) -> None:
        self._azimuth = azimuth
        self._places = places
        self._distance = np.maximum(np.hypot(*places.T), 1e-9)
        self._height_m = height_m
        self.hidden = np.zeros(len(places), dtype=bool)

    def hide_behind(self, wall: FloatArray, roof_m: float) -> None:
        """Mark what one wall (2 ends, 2) hides."""
        first, last = np.arctan2(wall[:, 0], wall[:, 1])
        if (last - first) % (2 * np.pi) > np.pi:
            first, last, wall = last, first, wall[::-1]
        if first <= last:
            self._hide(wall, roof_m, first, last)
        else:  # the wall crosses due south, where azimuths turn from pi to -pi
            self._hide(wall, roof_m, first, np.pi)
            self._hide(wall, roof_m, -np.pi, last)

    def _hide(self, wall: FloatArray, roof_m: float, first: float, last: float) -> None:
        low, high = np.searchsorted(self._azimuth, [first, last])
        if low == high:
            return
        places = self._places[low:high]
        along = wall[1] - wall[0]
        # The line to a place meets the wall at this share of its length.
        over = wall[0, 0] * along[1] - wall[0, 1] * along[0]
        under = places[:, 0] * along[1] - places[:, 1] * along[0]
        share = over / np.where(np.abs(under) < 1e-12, np.inf, under)
        line_m = self._height_m + share * (USER_HEIGHT_M - self._height_m)
        stands = (share > END_GRACE_M / self._distance[low:high]) & (share < 1.0)
        self.hidden[low:high] |= stands & (line_m < roof_m)


def _distance(walls: FloatArray) -> FloatArray:
    """Distance of the nearest point of each wall (n, 2, 2) from the origin."""
    start, along = walls[:, 0], walls[:, 1] - walls[:, 0]
    length2 = np.maximum(np.sum(along**2, axis=1), 1e-12)
    share = np.clip(-np.sum(start * along, axis=1) / length2, 0.0, 1.0)
    return np.asarray(np.hypot(*(start + share[:, None] * along).T))
