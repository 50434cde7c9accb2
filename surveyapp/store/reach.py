"""How far is 'within reach': boxes and distances of some hundred metres, for choosing rows.

Distances that are shown or computed with come from geometry.geodesy; these only choose. They
use the two radii of curvature of the WGS84 ellipsoid (any textbook of geodesy), good to one
part in a thousand over a few kilometres.
"""

from __future__ import annotations

import math
from typing import NamedTuple

_EQUATOR_M = 6378137.0  # WGS84 semi-major axis, NGA.STND.0036 (2014)
_ECCENTRICITY_SQUARED = 0.00669437999014  # WGS84 first eccentricity squared, the same


class Box(NamedTuple):
    """A box of latitudes and longitudes; it crosses the date line where west exceeds east."""

    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float


def metres_per_degree(lat_deg: float) -> tuple[float, float]:
    """Metres per degree of latitude and of longitude at a latitude."""
    lat = math.radians(lat_deg)
    root = math.sqrt(1.0 - _ECCENTRICITY_SQUARED * math.sin(lat) ** 2)
    north = _EQUATOR_M * (1.0 - _ECCENTRICITY_SQUARED) / root**3
    east = _EQUATOR_M / root * math.cos(lat)
    return math.radians(north), math.radians(east)


def box_around(lat_deg: float, lon_deg: float, radius_m: float) -> Box:
    """The smallest box that holds every place within `radius_m`, with a thousandth to spare."""
    reach_m = radius_m * 1.001
    half_lat_deg = reach_m / metres_per_degree(lat_deg)[0]
    south, north = lat_deg - half_lat_deg, lat_deg + half_lat_deg
    narrowest_m = metres_per_degree(min(90.0, max(abs(south), abs(north))))[1]
    if reach_m >= 180.0 * narrowest_m:
        return Box(max(south, -90.0), -180.0, min(north, 90.0), 180.0)
    half_lon_deg = reach_m / narrowest_m
    return Box(
        max(south, -90.0),
        (lon_deg - half_lon_deg + 180.0) % 360.0 - 180.0,
        min(north, 90.0),
        (lon_deg + half_lon_deg + 180.0) % 360.0 - 180.0,
    )


def within(
    lat_deg: float, lon_deg: float, other_lat_deg: float, other_lon_deg: float, reach_m: float
) -> bool:
    """Whether two places at most a few kilometres apart lie within `reach_m` of each other."""
    north_m, east_m = metres_per_degree((lat_deg + other_lat_deg) / 2.0)
    turned = (other_lon_deg - lon_deg + 180.0) % 360.0 - 180.0
    return math.hypot((other_lat_deg - lat_deg) * north_m, turned * east_m) <= reach_m
