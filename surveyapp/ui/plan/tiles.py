"""The plane cut into squares, so that the ground comes piece by piece as one pans.

Near by the squares are small and hold everything; from afar they are large and hold streets.
"""

from __future__ import annotations

from math import ceil, floor
from typing import NamedTuple

from surveyapp.geometry.date_line import rolled_deg, unrolled_deg
from surveyapp.geometry.plan_projection import Plane
from surveyapp.ui.plan.viewport import Viewport

NEAR_M, FAR_M = 400.0, 2400.0
NEAR_FROM = 0.16  # pixels per metre at one pixel a dp; below it only streets are drawn
MOST_SEEN = 80
KEPT = 240
BoxM = tuple[float, float, float, float]


class Tile(NamedTuple):
    """A square of the plane; `near` ones hold all kinds of ground."""

    near: bool
    column: int
    row: int

    @property
    def box_m(self) -> BoxM:
        """(west, south, east, north)."""
        side = NEAR_M if self.near else FAR_M
        return (
            self.column * side, self.row * side, (self.column + 1) * side, (self.row + 1) * side,
        )  # fmt: skip


def tiles_seen(viewport: Viewport, px_per_dp: float) -> list[Tile]:
    """The squares in sight, those in the middle first; at most MOST_SEEN."""
    near = viewport.px_per_m >= NEAR_FROM * px_per_dp
    side = NEAR_M if near else FAR_M
    west, south, east, north = (metres / side for metres in viewport.box_m)
    middle = ((west + east) / 2 - 0.5, (south + north) / 2 - 0.5)
    half = ceil(MOST_SEEN**0.5)
    columns = _range(west, east, middle[0], half)
    rows = _range(south, north, middle[1], half)
    found = [Tile(near, column, row) for column in columns for row in rows]
    found.sort(key=lambda tile: (tile.column - middle[0]) ** 2 + (tile.row - middle[1]) ** 2)
    return found[:MOST_SEEN]


def box_deg(tile: Tile, plane: Plane) -> tuple[float, float, float, float]:
    """(south, west, north, east) of the smallest box that holds the square.

    West exceeds east where it lies across the date line.
    """
    west, south, east, north = tile.box_m
    corners = [plane.to_world(e, n) for e in (west, east) for n in (south, north)]
    lats, lons = zip(*((float(lat), float(lon)) for lat, lon in corners), strict=True)
    lons = unrolled_deg(lons, plane.lon0_deg)
    return min(lats), rolled_deg(lons.min()), max(lats), rolled_deg(lons.max())


def _range(low: float, high: float, middle: float, half: int) -> range:
    first = max(floor(low), floor(middle) - half)
    last = min(floor(high), floor(middle) + half)
    return range(first, last + 1)
