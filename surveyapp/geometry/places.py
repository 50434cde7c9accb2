"""A place told by its streets: 'Mill Street, between Quay Street and Dock Lane'."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.geodesy import check_position
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Street

FloatArray: TypeAlias = NDArray[np.float64]
IndexArray: TypeAlias = NDArray[np.intp]

REACH_M = 60.0  # a stop farther than this from any named street is on none
CORNER_M = 20.0  # this near a crossing, a stop is at the corner
CROSSING_REACH_M = 400.0  # crossings farther off do not help anyone to find a place
TOUCH_M = 2.0  # streets that come this near each other meet
_METRES_PER_DEGREE = 111_000.0  # a little less than a degree of latitude, for boxes only


class _Crossing(NamedTuple):
    """A street that meets the one stood on; `along_m` is its place along it, from the stop."""

    name: str
    along_m: float
    distance_m: float


class StreetIndex:
    """The named streets of a ground, as arrays of segments that are quick to search."""

    def __init__(self, streets: Sequence[Street]) -> None:
        named = [street for street in streets if street.name and len(street.points_deg) > 1]
        self._names = sorted({street.name for street in named})
        number = {name: index for index, name in enumerate(self._names)}
        ends = [np.asarray(street.points_deg, dtype=np.float64) for street in named]
        self._segments_deg = np.concatenate(
            [np.hstack([points[:-1], points[1:]]) for points in ends] or [np.empty((0, 4))]
        )
        self._name_of = np.repeat(
            [number[street.name] for street in named], [len(points) - 1 for points in ends]
        ).astype(np.intp)

    def place_text(self, lat_deg: float, lon_deg: float) -> str:
        """The place in words, and '' where no named street is within REACH_M.

        'corner of X and Y' within CORNER_M of a crossing, else 'X, between Y and Z' (the
        western or southern one first), 'X, near Y' where streets cross on one side only, or
        'X'. Raises InvalidValue or OutOfRange for what is no position.
        """
        check_position(lat_deg, lon_deg)
        segments, names = self._around(lat_deg, lon_deg)
        if not len(segments):
            return ""
        feet = _feet(segments, np.zeros(2))
        distance = np.hypot(*feet.T)
        nearest = int(np.argmin(distance))
        if distance[nearest] > REACH_M:
            return ""
        own = names == names[nearest]
        ahead = _ahead(segments[nearest])
        crossings = [
            _Crossing(self._names[index], float((place - feet[nearest]) @ ahead), float(away))
            for index, place, away in _meetings(segments[own], segments[~own], names[~own])
        ]
        return _in_words(self._names[names[nearest]], crossings)

    def name_at(self, lat_deg: float, lon_deg: float) -> str:
        """The name of the street a place is on, and '' where none is within REACH_M.

        Raises InvalidValue or OutOfRange for what is no position.
        """
        check_position(lat_deg, lon_deg)
        segments, names = self._around(lat_deg, lon_deg)
        if not len(segments):
            return ""
        distance = np.hypot(*_feet(segments, np.zeros(2)).T)
        nearest = int(np.argmin(distance))
        return self._names[names[nearest]] if distance[nearest] <= REACH_M else ""

    def names_by_distance(self, lat_deg: float, lon_deg: float) -> list[str]:
        """Every name, the street nearest to a place first. Raises as `name_at` does."""
        check_position(lat_deg, lon_deg)
        plane = Plane(lat_deg, lon_deg)
        ends = self._segments_deg.reshape(-1, 2, 2)
        east, north = plane.to_plane(ends[..., 0], ends[..., 1])
        distance = np.hypot(*_feet(np.stack([east, north], axis=-1), np.zeros(2)).T)
        nearest = np.full(len(self._names), np.inf)
        np.minimum.at(nearest, self._name_of, distance)
        return [self._names[index] for index in np.argsort(nearest, kind="stable")]

    def _around(self, lat_deg: float, lon_deg: float) -> tuple[FloatArray, IndexArray]:
        """Nearby segments (n, 2 ends, 2: east and north, from the place) and name numbers (n)."""
        high = CROSSING_REACH_M / _METRES_PER_DEGREE
        wide = min(180.0, high / max(math.cos(math.radians(lat_deg)), 1e-9))
        lat = self._segments_deg[:, [0, 2]] - lat_deg
        lon = np.remainder(self._segments_deg[:, [1, 3]] - lon_deg + 180.0, 360.0) - 180.0
        inside = (
            (lat.min(axis=1) <= high)
            & (lat.max(axis=1) >= -high)
            & (lon.min(axis=1) <= wide)
            & (lon.max(axis=1) >= -wide)
        )
        ends_deg = self._segments_deg[inside].reshape(-1, 2, 2)
        east, north = Plane(lat_deg, lon_deg).to_plane(ends_deg[..., 0], ends_deg[..., 1])
        return np.stack([east, north], axis=-1), self._name_of[inside]


def place_text(lat_deg: float, lon_deg: float, streets: Sequence[Street]) -> str:
    """As `StreetIndex.place_text`; for many places of one ground keep the index instead."""
    return StreetIndex(streets).place_text(lat_deg, lon_deg)


def _in_words(street: str, crossings: Sequence[_Crossing]) -> str:
    """The street with the nearest crossings, one on each side."""
    nearest = min(crossings, key=lambda crossing: crossing.distance_m, default=None)
    if nearest is None:
        return street
    if nearest.distance_m <= CORNER_M:
        return f"corner of {street} and {nearest.name}"
    behind = max((c for c in crossings if c.along_m < 0.0), key=lambda c: c.along_m, default=None)
    ahead = min((c for c in crossings if c.along_m >= 0.0), key=lambda c: c.along_m, default=None)
    if behind and ahead and behind.name != ahead.name:
        return f"{street}, between {behind.name} and {ahead.name}"
    return f"{street}, near {nearest.name}"


def _meetings(
    own: FloatArray, others: FloatArray, names: IndexArray
) -> list[tuple[int, FloatArray, float]]:
    """(name number, place, distance from the origin) wherever another street meets this one."""
    found = []
    for a, b in _near_pairs(own, others):
        place = _meeting(own[a], others[b])
        if place is not None:
            found.append((int(names[b]), place, math.hypot(*place)))
    return [meeting for meeting in found if meeting[2] <= CROSSING_REACH_M]


def _near_pairs(own: FloatArray, others: FloatArray) -> IndexArray:
    """Index pairs (k, 2) of segments whose boxes come within TOUCH_M of each other."""
    low, high = own.min(axis=1) - TOUCH_M, own.max(axis=1) + TOUCH_M
    apart = (others.min(axis=1)[None] > high[:, None]) | (others.max(axis=1)[None] < low[:, None])
    return np.argwhere(~apart.any(axis=-1))


def _meeting(a: FloatArray, b: FloatArray) -> FloatArray | None:
    """Where two segments (2, 2) cross or come within TOUCH_M; None where they do not."""
    along, other = a[1] - a[0], b[1] - b[0]
    sine = along[0] * other[1] - along[1] * other[0]
    if abs(sine) > 1e-12:
        gap = b[0] - a[0]
        share = (gap[0] * other[1] - gap[1] * other[0]) / sine
        share_b = (gap[0] * along[1] - gap[1] * along[0]) / sine
        if 0.0 <= share <= 1.0 and 0.0 <= share_b <= 1.0:
            return np.asarray(a[0] + share * along)
    ends = [(end, _feet(a[None], end)[0]) for end in b] + [
        (_feet(b[None], end)[0], end) for end in a
    ]
    end, foot = min(ends, key=lambda pair: math.hypot(*(pair[0] - pair[1])))
    return foot if math.hypot(*(end - foot)) <= TOUCH_M else None


def _feet(segments: FloatArray, point: FloatArray) -> FloatArray:
    """The point (n, 2) of each segment (n, 2, 2) that is nearest to `point`."""
    start, along = segments[:, 0], segments[:, 1] - segments[:, 0]
    length2 = np.maximum(np.sum(along**2, axis=1), 1e-12)
    share = np.clip(np.sum((point - start) * along, axis=1) / length2, 0.0, 1.0)
    return np.asarray(start + share[:, None] * along)


def _ahead(segment: FloatArray) -> FloatArray:
    """The segment's direction, turned to point east, or north where it runs steeper."""
    along = np.asarray(segment[1] - segment[0])
    main = along[0] if abs(along[0]) >= abs(along[1]) else along[1]
    return along / max(math.hypot(*along), 1e-12) * (1.0 if main >= 0.0 else -1.0)
