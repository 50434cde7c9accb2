"""Distances and azimuths on the WGS84 ellipsoid, and the arithmetic of angles on the circle.

Geodesics by GeographicLib: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013)
43-55, good to about 15 nanometres.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from geographiclib.geodesic import Geodesic as _Solver

from surveyapp.errors import InvalidValue, OutOfRange


class Geodesic(NamedTuple):
    """The shortest line between two points, seen from both ends.

    `azimuth_deg` is the direction at the first point towards the second, `back_azimuth_deg`
    that at the second point towards the first; both in [0, 360).
    """

    distance_m: float
    azimuth_deg: float
    back_azimuth_deg: float


def inverse(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> Geodesic:
    """The geodesic from point 1 to point 2.

    Between identical points no direction exists: the distance is 0 and the azimuths are
    given as 0 and 180. Raises InvalidValue or OutOfRange as `check_position` does.
    """
    check_position(lat1_deg, lon1_deg)
    check_position(lat2_deg, lon2_deg)
    line = _Solver.WGS84.Inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    if line["s12"] == 0.0:
        return Geodesic(0.0, 0.0, 180.0)
    return Geodesic(
        float(line["s12"]),
        normalise_azimuth_deg(line["azi1"]),
        normalise_azimuth_deg(line["azi2"] + 180.0),
    )


def destination(
    lat_deg: float, lon_deg: float, azimuth_deg: float, distance_m: float
) -> tuple[float, float]:
    """The point (lat_deg, lon_deg) reached along an azimuth of any turn after `distance_m`.

    Raises InvalidValue or OutOfRange for a position as `check_position` does, for an azimuth
    that is no number, and for a distance that is negative or no number.
    """
    check_position(lat_deg, lon_deg)
    check_finite(azimuth_deg, "azimuth", "degrees")
    check_finite(distance_m, "distance", "metres")
    if distance_m < 0.0:
        raise OutOfRange(
            f"The distance {distance_m:g} m is negative: turn the azimuth round instead.",
            value=distance_m,
            allowed="0 m or more",
        )
    end = _Solver.WGS84.Direct(lat_deg, lon_deg, azimuth_deg, distance_m)
    return float(end["lat2"]), float(end["lon2"])


def normalise_azimuth_deg(azimuth_deg: float) -> float:
    """The same direction in [0, 360); never -0.0. Raises InvalidValue for what is no number."""
    check_finite(azimuth_deg, "azimuth", "degrees")
    turned = math.fmod(azimuth_deg, 360.0)  # exact, unlike %, which adds 360 to a tiny negative
    if turned < 0.0:
        turned += 360.0
    return 0.0 if turned in (0.0, 360.0) else turned


def angle_between_deg(from_deg: float, to_deg: float) -> float:
    """The turn from one direction to another, clockwise positive, in (-180, 180].

    Raises InvalidValue for what is no number.
    """
    check_finite(from_deg, "first direction", "degrees")
    check_finite(to_deg, "second direction", "degrees")
    turn = math.remainder(math.fmod(to_deg, 360.0) - math.fmod(from_deg, 360.0), 360.0)
    return 180.0 if turn == -180.0 else turn + 0.0


def check_position(lat_deg: float, lon_deg: float) -> None:
    """Refuse a latitude outside -90 to 90, a longitude outside -180 to 180, and no numbers.

    Raises OutOfRange for the former and InvalidValue for the latter.
    """
    check_finite(lat_deg, "latitude", "degrees")
    check_finite(lon_deg, "longitude", "degrees")
    if not -90.0 <= lat_deg <= 90.0:
        raise OutOfRange(
            f"The latitude {lat_deg:g} is outside -90 to 90 degrees: "
            "the latitude comes first, then the longitude.",
            value=lat_deg,
            allowed="-90 to 90 degrees",
        )
    if not -180.0 <= lon_deg <= 180.0:
        raise OutOfRange(
            f"The longitude {lon_deg:g} is outside -180 to 180 degrees: give one inside.",
            value=lon_deg,
            allowed="-180 to 180 degrees",
        )


def check_finite(value: float, name: str, unit: str) -> None:
    """Refuse NaN and infinities with InvalidValue."""
    if not math.isfinite(value):
        raise InvalidValue(
            f"The {name} is not a number: give it in {unit}.", value=value, allowed=unit
        )
