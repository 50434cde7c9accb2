"""Line of sight from a phone to an antenna through the ground's buildings.

A building stands in the way where the straight line passes through its outline (courtyards
left out) below its roof. Two things keep small errors of position from deciding: the last
END_GRACE_M before the antenna do not count, as panels hang on walls; and an outline the
observer seems to stand in does not count up to where the line leaves it, as surveyors stand
outdoors. Trees, vehicles and the slope of the ground are not known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import OutOfRange
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, LatLon

FloatArray: TypeAlias = NDArray[np.float64]

DEFAULT_HEIGHT_M = 10.0  # three storeys, for buildings of unknown height; common practice
PHONE_HEIGHT_M = 1.5  # TR 38.901 table 7.4.1-1, usual h_UT
ANTENNA_HEIGHT_M = 8.0  # street-level site, common practice
END_GRACE_M = 3.0


@dataclass(frozen=True, slots=True)
class SightLine:
    """Whether the line is free; if not, the building that rises highest above it.

    `over_m` is by how much its roof tops the line where the line is lowest inside it, and
    `after_m` how far from the observer the line enters it; both 0 when clear.
    """

    clear: bool
    blocked_by: Building | None = None
    over_m: float = 0.0
    after_m: float = 0.0


class Skyline:
    """Buildings around one observer, made ready for many lines of sight.

    `default_height_m` is taken where a building's height is not known. A few hundred
    buildings take some milliseconds to make ready, and each line a tenth of one.
    """

    def __init__(
        self,
        observer_deg: LatLon,
        buildings: Sequence[Building],
        *,
        observer_height_m: float = PHONE_HEIGHT_M,
        default_height_m: float = DEFAULT_HEIGHT_M,
    ) -> None:
        self._plane = Plane(*observer_deg)
        self._observer_height_m = observer_height_m
        self._buildings = tuple(buildings)
        self._heights_m = np.array(
            [default_height_m if b.height_m is None else b.height_m for b in buildings]
        )
        self._starts, self._ends, self._owner = self._edges()
        self._low, self._high = self._boxes()

    def sight_line(
        self, target_deg: LatLon, *, target_height_m: float = ANTENNA_HEIGHT_M
    ) -> SightLine:
        """The line from the observer to an antenna; raises OutOfRange below the ground."""
        if target_height_m < 0.0:
            raise OutOfRange(
                f"The antenna's height is {target_height_m:g} m: give 0 m or more.",
                value=target_height_m,
                allowed="0 m or more",
            )
        target = np.array(self._plane.to_plane(*target_deg))
        length_m = float(np.hypot(*target))
        if not self._buildings or length_m <= END_GRACE_M:
            return SightLine(clear=True)
        owner, enter, leave = self._inside(target, 1.0 - END_GRACE_M / length_m)
        rise_m = target_height_m - self._observer_height_m
        lowest = self._observer_height_m + np.minimum(enter * rise_m, leave * rise_m)
        over = self._heights_m[owner] - lowest
        if not len(over) or np.max(over) <= 0.0:
            return SightLine(clear=True)
        worst = int(np.argmax(over))
        return SightLine(
            clear=False,
            blocked_by=self._buildings[owner[worst]],
            over_m=float(over[worst]),
            after_m=float(enter[worst]) * length_m,
        )

    def _edges(self) -> tuple[FloatArray, FloatArray, NDArray[np.intp]]:
        """Starts and ends (edges, 2) of every ring's edges, and the building of each."""
        rings = [
            (index, ring)
            for index, building in enumerate(self._buildings)
            for ring in (building.outline_deg, *building.holes_deg)
            if len(ring) >= 4
        ]
        if not rings:
            return np.empty((0, 2)), np.empty((0, 2)), np.empty(0, dtype=np.intp)
        degrees = np.concatenate([np.asarray(ring, dtype=np.float64) for _, ring in rings])
        points = np.column_stack(self._plane.to_plane(degrees[:, 0], degrees[:, 1]))
        owner = np.repeat([index for index, _ in rings], [len(ring) for _, ring in rings])
        inner = np.ones(len(points), dtype=bool)
        inner[np.array(list(accumulate(len(ring) for _, ring in rings))) - 1] = False
        at = np.flatnonzero(inner)
        return points[at], points[at + 1], owner[at].astype(np.intp)

    def _boxes(self) -> tuple[FloatArray, FloatArray]:
        """Lower and upper corners (buildings, 2); empty boxes where there is no ring."""
        low = np.full((len(self._buildings), 2), np.inf)
        high = -low
        np.minimum.at(low, self._owner, self._starts)
        np.maximum.at(high, self._owner, self._starts)
        return low, high

    def _inside(
        self, target: FloatArray, last: float
    ) -> tuple[NDArray[np.intp], FloatArray, FloatArray]:
        """Parts of the line inside buildings: building, and shares of its length from and to.

        Each ring's crossings with the whole straight line pair up by the even-odd rule. A
        corner on the line counts as lying on its left, so it is never counted twice.
        """
        near = np.all((self._low <= np.maximum(target, 0.0)), axis=1)
        near &= np.all((self._high >= np.minimum(target, 0.0)), axis=1)
        kept = near[self._owner]
        start, end, owner = self._starts[kept], self._ends[kept], self._owner[kept]
        side_start = target[0] * start[:, 1] - target[1] * start[:, 0]
        side_end = target[0] * end[:, 1] - target[1] * end[:, 0]
        crossing = (side_start < 0.0) != (side_end < 0.0)
        start, end, owner = start[crossing], end[crossing], owner[crossing]
        share = side_start[crossing] / (side_start[crossing] - side_end[crossing])
        where = (start + (end - start) * share[:, None]) @ target / (target @ target)
        order = np.lexsort((where, owner))
        enter, leave = where[order][0::2], where[order][1::2]
        inside = (enter > 0.0) & (enter < last)
        return owner[order][0::2][inside], enter[inside], np.minimum(leave[inside], last)


def sight_line(
    observer_deg: LatLon,
    target_deg: LatLon,
    buildings: Sequence[Building],
    *,
    observer_height_m: float = PHONE_HEIGHT_M,
    target_height_m: float = ANTENNA_HEIGHT_M,
    default_height_m: float = DEFAULT_HEIGHT_M,
) -> SightLine:
    """Whether an antenna is in line of sight of a phone, and what stands between.

    Heights are above the street. Raises InvalidValue or OutOfRange for what is no position.
    """
    skyline = Skyline(
        observer_deg,
        buildings,
        observer_height_m=observer_height_m,
        default_height_m=default_height_m,
    )
    return skyline.sight_line(target_deg, target_height_m=target_height_m)
