"""Compass to true north: the World Magnetic Model 2025, and means of directions.

Model: NOAA/NCEI and BGS, The US/UK World Magnetic Model for 2025-2030, Technical Report.
It gives the main field only: steel, cables and local rock add several degrees (common
practice), which its stated uncertainty counts for the average open place alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from surveyapp.errors import NoAnswer, OutOfRange
from surveyapp.geometry.geodesy import check_finite, check_position, normalise_azimuth_deg

FIRST_YEAR = 2025.0
LAST_YEAR = 2030.0
LOWEST_M = -1_000.0  # WMM2025 report: 1 km below the ellipsoid ...
HIGHEST_M = 850_000.0  # ... to 850 km above it
BLACKOUT_NT = 2_000.0  # WMM2025 report: below this horizontal intensity no compass is of use
CAUTION_NT = 6_000.0  # WMM2025 report: below this it is to be used with caution
# WMM2025 report, error model of the declination, one standard deviation:
# sqrt(0.26^2 + (5417 / H)^2) degrees, H in nT (figures as pygeomag 1.1.0 carries them).
SIGMA_FLOOR_DEG = 0.26
SIGMA_SLOPE_DEG_NT = 5417.0


@dataclass(frozen=True, slots=True)
class Declination:
    """Angle from true to magnetic north, east positive, with one standard deviation.

    `warning` is one sentence near the magnetic poles, where a compass serves badly, else ''.
    """

    declination_deg: float
    sigma_deg: float
    horizontal_nt: float
    total_nt: float
    inclination_deg: float
    warning: str = ""


def declination(lat_deg: float, lon_deg: float, on: date, height_m: float = 0.0) -> Declination:
    """The declination at a place on a day; `height_m` is above the WGS84 ellipsoid.

    Raises OutOfRange outside 2025-01-01 to 2030-01-01, outside -1 to 850 km, and for what is
    no position on Earth; InvalidValue for what is no number.
    """
    return declination_at(lat_deg, lon_deg, decimal_year(on), height_m)


def declination_at(lat_deg: float, lon_deg: float, year: float, height_m: float) -> Declination:
    """The same for a decimal year, such as 2027.5."""
    check_position(lat_deg, lon_deg)
    _check_range(year, height_m)
    from pygeomag import GeoMag
    from pygeomag.wmm.wmm_2025 import WMM_2025

    # A fresh one each time: it keeps working values, which two threads would spoil.
    field = GeoMag(coefficients_data=WMM_2025).calculate(
        glat=lat_deg, glon=lon_deg, alt=height_m / 1000.0, time=year
    )
    return Declination(
        declination_deg=field.d,
        sigma_deg=declination_sigma_deg(field.h),
        horizontal_nt=field.h,
        total_nt=field.f,
        inclination_deg=field.i,
        warning=_warning(field.h),
    )


def declination_sigma_deg(horizontal_nt: float) -> float:
    """One standard deviation of the model's declination, from the horizontal intensity.

    Source: the WMM2025 report's error model; never more than 180 degrees.
    """
    if horizontal_nt <= 0.0:
        return 180.0
    return min(180.0, math.hypot(SIGMA_FLOOR_DEG, SIGMA_SLOPE_DEG_NT / horizontal_nt))


def decimal_year(on: date) -> float:
    """The year with the share of it that has passed at the start of the day."""
    start = date(on.year, 1, 1).toordinal()
    length = 366 if on.year % 4 == 0 and (on.year % 100 != 0 or on.year % 400 == 0) else 365
    return on.year + (on.toordinal() - start) / length


def true_from_magnetic(bearing_deg: float, declination_deg: float) -> float:
    """True bearing in [0, 360) of a compass bearing; declination counts east positive."""
    check_finite(declination_deg, "declination", "degrees")
    return normalise_azimuth_deg(bearing_deg + declination_deg)


def magnetic_from_true(bearing_deg: float, declination_deg: float) -> float:
    """Compass bearing in [0, 360) of a true bearing; declination counts east positive."""
    check_finite(declination_deg, "declination", "degrees")
    return normalise_azimuth_deg(bearing_deg - declination_deg)


@dataclass(frozen=True, slots=True)
class MeanDirection:
    """Weighted mean on the circle; `length` is 1 where all agree and 0 where none does."""

    azimuth_deg: float
    length: float


def mean_direction(azimuths_deg: Sequence[float], weights: Sequence[float] = ()) -> MeanDirection:
    """The mean of directions, each with its weight (all alike when none are given).

    Source: K. V. Mardia and P. E. Jupp, Directional Statistics (2000), section 2.2.
    Raises NoAnswer for no directions and for ones that cancel out, such as 0 and 180.
    """
    if not azimuths_deg:
        raise NoAnswer("There is no direction to average: give at least one.")
    shares = list(weights) or [1.0] * len(azimuths_deg)
    east = north = 0.0
    for azimuth_deg, share in zip(azimuths_deg, shares, strict=True):
        check_finite(azimuth_deg, "direction", "degrees")
        east += share * math.sin(math.radians(azimuth_deg))
        north += share * math.cos(math.radians(azimuth_deg))
    length = math.hypot(east, north) / sum(shares)
    if length < 1e-9:
        raise NoAnswer("The directions cancel each other out, so they have no mean: add another.")
    return MeanDirection(normalise_azimuth_deg(math.degrees(math.atan2(east, north))), length)


def _check_range(year: float, height_m: float) -> None:
    check_finite(year, "year", "years")
    check_finite(height_m, "height", "metres")
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise OutOfRange(
            f"The World Magnetic Model 2025 holds from 2025.0 to 2030.0, not in {year:.1f}: "
            "give the bearing against true north, or a day within.",
            value=year,
            allowed="2025.0 to 2030.0",
        )
    if not LOWEST_M <= height_m <= HIGHEST_M:
        raise OutOfRange(
            f"The height {height_m:g} m is outside what the magnetic model holds for: "
            f"give one from {LOWEST_M:g} to {HIGHEST_M:g} m.",
            value=height_m,
            allowed=f"{LOWEST_M:g} to {HIGHEST_M:g} m",
        )


def _warning(horizontal_nt: float) -> str:
    if horizontal_nt < BLACKOUT_NT:
        return (
            "This is in the blackout zone around a magnetic pole: no compass is of use here; "
            "take bearings from two points on the plan."
        )
    if horizontal_nt < CAUTION_NT:
        return (
            "This is in the caution zone around a magnetic pole: a compass may be far off here; "
            "check it against something whose position is known."
        )
    return ""
