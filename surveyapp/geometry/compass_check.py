"""A compass held against something whose direction is known, and bearings by two points.

The offset found counts for this phone, this place and this day: a case, a car key or another
street change it (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import (
    angle_between_deg,
    check_finite,
    inverse,
    normalise_azimuth_deg,
)
from surveyapp.model import CompassCheck

LONGEST = timedelta(hours=12)
WIDEST_SIGMA_DEG = 15.0
LARGEST_OFFSET_DEG = 30.0


@dataclass(frozen=True, slots=True)
class KnownBearing:
    """A true bearing worked out from two positions, with one standard deviation."""

    bearing_deg: float
    sigma_deg: float
    distance_m: float


@dataclass(frozen=True, slots=True)
class CompassOffset:
    """Degrees to add to what the compass shows, after declination; `doubt` is a sentence or ''."""

    offset_deg: float
    sigma_deg: float
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class KeptOffset:
    """The check that counts now, and its age."""

    check: CompassCheck
    age_s: float


def bearing_by_two_points(
    from_lat_deg: float,
    from_lon_deg: float,
    to_lat_deg: float,
    to_lon_deg: float,
    *,
    from_sigma_m: float = 0.0,
    to_sigma_m: float = 0.0,
) -> KnownBearing:
    """The bearing from one tapped or known point to another; sigmas are along each axis.

    Raises NoAnswer where the points are so near that their own errors spoil the direction.
    """
    line = inverse(from_lat_deg, from_lon_deg, to_lat_deg, to_lon_deg)
    across_m = math.hypot(from_sigma_m, to_sigma_m)
    if line.distance_m <= 0.0 or across_m / line.distance_m > math.radians(WIDEST_SIGMA_DEG):
        raise NoAnswer(
            f"The two points are {line.distance_m:.0f} m apart and known to {across_m:.0f} m: "
            "that gives no bearing. Take something further away."
        )
    sigma_deg = math.degrees(math.atan2(across_m, line.distance_m))
    return KnownBearing(line.azimuth_deg, sigma_deg, line.distance_m)


def compass_offset(
    known: KnownBearing, read_true_deg: float, wavered_deg: float = 0.0
) -> CompassOffset:
    """The offset of a compass that read `read_true_deg` (declination added) on a known bearing.

    `wavered_deg` is the reading's spread: what a compass is good to does not count here, since
    that error is what the check finds.
    """
    check_finite(read_true_deg, "compass reading", "degrees")
    check_finite(wavered_deg, "spread of the reading", "degrees")
    offset_deg = angle_between_deg(read_true_deg, known.bearing_deg)
    doubt = ""
    if abs(offset_deg) > LARGEST_OFFSET_DEG:
        doubt = (
            f"The compass is off by {offset_deg:+.0f} degrees: was the right thing sighted, and is "
            "steel near? Bearings by two points are safer here."
        )
    return CompassOffset(offset_deg, math.hypot(known.sigma_deg, wavered_deg), doubt)


def offset_in_force(
    checks: Iterable[CompassCheck], device_id: str, at_utc: datetime
) -> KeptOffset | None:
    """This phone's newest check made before `at_utc` and within twelve hours, with its age."""
    own = [
        check
        for check in checks
        if check.device_id == device_id and timedelta(0) <= at_utc - check.time_utc <= LONGEST
    ]
    if not own:
        return None
    newest = max(own, key=lambda check: check.time_utc)
    return KeptOffset(newest, (at_utc - newest.time_utc).total_seconds())


def corrected_bearing_deg(read_true_deg: float, kept: KeptOffset | None) -> float:
    """A true bearing in [0, 360) with the offset in force added, where there is one."""
    return normalise_azimuth_deg(read_true_deg + (kept.check.offset_deg if kept else 0.0))
