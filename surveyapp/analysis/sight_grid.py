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

    def walls(self, plane: Plane) -> FloatArray:
        """Ends (walls, 2 ends, 2: east and north) of every wall."""
        ends = self._walls_deg.reshape(-1, 2, 2)
        return np.stack(plane.to_plane(ends[..., 0], ends[..., 1]), axis=-1)

    def clear_from(
        self, panel: SectorPanel, plane: Plane, east_m: FloatArray, north_m: FloatArray
    ) -> BoolArray:
        """True, of the places' shape, where the panel is in sight of a phone."""
        own = np.array([float(value) for value in plane.to_plane(panel.lat_deg, panel.lon_deg)])
        east, north = np.ravel(east_m) - own[0], np.ravel(north_m) - own[1]
        azimuth = np.arctan2(east, north)
        order = np.argsort(azimuth, kind="stable")
        fan = _Fan(azimuth[order], np.column_stack([east, north])[order], panel.height_m)
        if len(self._walls_deg):
            walls = self.walls(plane) - own
            reach_m = float(np.max(np.hypot(east, north), initial=0.0))
            near = _distance(walls) <= reach_m
            for wall, height in zip(walls[near], self._height_m[near], strict=True):
                fan.hide_behind(wall, float(height))
        clear = np.empty(len(order), dtype=bool)
        clear[order] = ~fan.hidden
        return clear.reshape(np.broadcast(east_m, north_m).shape)


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
