"""Invented streets for tests of the network, gaps and stands: a grid of blocks of 100 m."""

from __future__ import annotations

import numpy as np

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, Ground, LatLon, Street

CENTRE = (60.1699, 24.9384)
PLANE = Plane(*CENTRE)
BLOCK_M = 100.0
HALF = 3  # blocks from the centre to each side


def world(east_m: float, north_m: float) -> LatLon:
    """A place so far east and north of the centre."""
    lat, lon = PLANE.to_world(east_m, north_m)
    return float(lat), float(lon)


def metres(place_deg: LatLon) -> np.ndarray:
    """The same the other way."""
    return np.array([float(value) for value in PLANE.to_plane(*place_deg)])


def street(name: str, *points_m: tuple[float, float], kind: str = "residential") -> Street:
    """A street through points in metres."""
    return Street(name=name, kind=kind, points_deg=tuple(world(*point) for point in points_m))


def house(west: float, south: float, east: float, north: float, height_m: float = 20.0) -> Building:
    """A rectangular building."""
    corners = ((west, south), (east, south), (east, north), (west, north), (west, south))
    return Building(outline_deg=tuple(world(*corner) for corner in corners), height_m=height_m)


def grid_ground() -> Ground:
    """Seven streets each way, 'Row 0' and 'Line 0' through the centre, and a house a block."""
    steps = [BLOCK_M * k for k in range(-HALF, HALF + 1)]
    rows = [street(f"Row {k - HALF}", *((x, y) for x in steps)) for k, y in enumerate(steps)]
    lines = [street(f"Line {k - HALF}", *((x, y) for y in steps)) for k, x in enumerate(steps)]
    houses = [house(x + 12.0, y + 12.0, x + 88.0, y + 88.0) for x in steps[:-1] for y in steps[:-1]]
    return Ground(streets=(*rows, *lines), buildings=tuple(houses))
