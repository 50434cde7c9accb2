"""Which squares of a picture of the ground are seen, and where their corners lie.

Squares are those of the spherical Mercator projection (EPSG:3857), 2**zoom a side, rows
counted from the north.
"""

from __future__ import annotations

from math import asinh, atan, cos, degrees, floor, log2, pi, radians, sinh, tan
from typing import NamedTuple

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import LatLon
from surveyapp.ui.plan.viewport import Viewport

EQUATOR_M = 40_075_016.686  # circumference, 2 pi times 6,378,137 m
SQUARE_PX = 256
MOST_SEEN = 60


class Square(NamedTuple):
    """One picture of the file."""

    zoom: int
    column: int
    row: int

    @property
    def corners_deg(self) -> tuple[LatLon, LatLon, LatLon, LatLon]:
        """South-west, south-east, north-east, north-west."""
        west, north = _place(self.zoom, self.column, self.row)
        east, south = _place(self.zoom, self.column + 1, self.row + 1)
        return (south, west), (south, east), (north, east), (north, west)


def squares_seen(
    viewport: Viewport, plane: Plane, zooms: tuple[int, int], px_per_dp: float
) -> list[Square]:
    """The squares in sight at the zoom that fits the scale, the middle ones first."""
    finest = EQUATOR_M * cos(radians(plane.lat0_deg)) * viewport.px_per_m / px_per_dp / SQUARE_PX
    zoom = min(max(round(log2(max(finest, 1.0))), zooms[0]), zooms[1])
    west_m, south_m, east_m, north_m = viewport.box_m
    west, south = _square_at(zoom, *_world(plane, west_m, south_m))
    east, north = _square_at(zoom, *_world(plane, east_m, north_m))
    east += 2**zoom * (east < west)  # across the date line
    middle = ((west + east) / 2 - 0.5, (north + south) / 2 - 0.5)
    half, last = MOST_SEEN, 2**zoom - 1
    found = [
        Square(zoom, column, row)
        for column in _range(west, east, middle[0], half)
        for row in _range(north, south, middle[1], half)
        if 0 <= row <= last
    ]
    found.sort(key=lambda one: (one.column - middle[0]) ** 2 + (one.row - middle[1]) ** 2)
    turned = (one._replace(column=one.column % (last + 1)) for one in found[:MOST_SEEN])
    return list(dict.fromkeys(turned))


def _place(zoom: int, column: float, row: float) -> tuple[float, float]:
    """Longitude and latitude of the north-west corner of a square."""
    side = 2.0**zoom
    return column / side * 360.0 - 180.0, degrees(atan(sinh(pi * (1.0 - 2.0 * row / side))))


def _square_at(zoom: int, lat_deg: float, lon_deg: float) -> tuple[float, float]:
    """Column and row, with fractions, of a place."""
    side = 2.0**zoom
    lat = radians(min(max(lat_deg, -85.05), 85.05))  # the projection ends there
    return (lon_deg + 180.0) / 360.0 * side, (1.0 - asinh(tan(lat)) / pi) / 2.0 * side


def _world(plane: Plane, east_m: float, north_m: float) -> LatLon:
    lat_deg, lon_deg = plane.to_world(east_m, north_m)
    return float(lat_deg), float(lon_deg)


def _range(low: float, high: float, middle: float, half: int) -> range:
    first = max(floor(low), floor(middle) - half)
    return range(first, min(floor(high), floor(middle) + half) + 1)
