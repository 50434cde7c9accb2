"""When bearings determine no position, said with the reason and the way out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import FARTHEST_M, SAME_STOP_M
from surveyapp.geometry.fix_likelihood import FloatArray, Rays

LEAST_CROSSING_DEG = 5.0  # flatter than this, bearings count as parallel


def check_crossing(rays: Rays) -> float:
    """The widest angle at which bearings from different stops cross, 0 to 90 degrees.

    Raises NoAnswer where it is too flat, or where there is one stop only, and no distance
    was measured that would help.
    """
    apart = [
        (a, b)
        for a, b in combinations(range(rays.count), 2)
        if math.hypot(rays.east_m[a] - rays.east_m[b], rays.north_m[a] - rays.north_m[b])
        >= SAME_STOP_M
    ]
    ranged = bool(np.isfinite(rays.range_m).any())
    if not apart and not ranged:
        raise NoAnswer(
            "All sightings are from one stop: sight the site from a second one, off to the side."
        )
    turns = [math.sin(rays.bearing_rad[a] - rays.bearing_rad[b]) for a, b in apart]
    crossing_deg = math.degrees(math.asin(max(map(abs, turns), default=0.0)))
    if crossing_deg < LEAST_CROSSING_DEG and not ranged:
        raise NoAnswer(
            f"The bearings cross at only {crossing_deg:.1f} degrees, as good as parallel "
            f"(at least {LEAST_CROSSING_DEG:.0f} are needed): sight the site from a stop "
            "farther off to the side."
        )
    return crossing_deg


def check_place(rays: Rays, at: FloatArray, indexes: Sequence[int]) -> None:
    """Refuse a position behind an observer, or out of sight; `indexes` number the rays."""
    behind = np.flatnonzero(np.abs(rays.off_rad(_meeting(rays, at))) > math.pi / 2)
    if behind.size:
        numbers = " and ".join(str(indexes[int(index)] + 1) for index in behind)
        raise NoAnswer(
            f"The bearings meet behind the observer of sighting {numbers}, so they do not meet "
            "where they point: check which way each was taken."
        )
    _, distance = rays.outward(at)
    if float(np.max(distance)) > FARTHEST_M:
        raise NoAnswer(
            f"The bearings point apart and do not meet within {FARTHEST_M / 1000:.0f} km: check "
            "which way each was taken."
        )


def check_size(rays: Rays, at: FloatArray, crossing_deg: float) -> None:
    """Refuse a position that is less certain than the farthest stop is away."""
    _, distance = rays.outward(at)
    weakest = float(np.linalg.eigvalsh(rays.information(at))[0])
    if weakest * float(np.max(distance)) ** 2 < 1.0:
        raise NoAnswer(
            f"The place is less certain than the site is far: the bearings cross at "
            f"{crossing_deg:.0f} degrees, too flat for their sigmas. Sight the site from a stop "
            "farther off to the side, or add a distance."
        )


def _meeting(rays: Rays, at: FloatArray) -> FloatArray:
    """Where the lines of two bearings cross, be it behind; of others the position itself."""
    two_bearings = rays.count == 2 and not np.isfinite(rays.range_m).any()
    return rays.crossings()[0] if two_bearings else at
