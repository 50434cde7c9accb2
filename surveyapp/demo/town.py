"""The real ground laid out in a plane, with the places nodes and surveyors may take."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import NoAnswer
from surveyapp.geometry.line_of_sight import Skyline
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import FurnitureKind, Ground, LatLon

FloatArray = NDArray[np.float64]

DRIVEN = frozenset(
    {
        "primary",
        "secondary",
        "tertiary",
        "unclassified",
        "residential",
        "living_street",
        "pedestrian",
    }
)
ROOF_M = 16.0  # of houses whose height the ground does not tell: an assumption of the demo
STEP_M = 8.0
LAMP_TO_STREET_M = 14.0
WALL_TO_STREET_M = 22.0
SHORTEST_WALL_M = 8.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the plane, metres; `azimuth_deg` is the street's direction, or the wall's face."""

    east_m: float
    north_m: float
    azimuth_deg: float


class Town:
    """The ground laid out in a plane, with the places that nodes and surveyors may take."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        points = [point for street in ground.streets for point in street.points_deg]
        if not points:
            raise NoAnswer("The demo needs streets: the ground holds none.")
        lat_deg, lon_deg = np.mean(np.array(points), axis=0)
        self.plane = Plane(float(lat_deg), float(lon_deg))
        self._outlines = [
            np.array(self.plane.to_plane(*np.array(building.outline_deg).T)).T
            for building in ground.buildings
        ]
        self._boxes = np.array([(*line.min(axis=0), *line.max(axis=0)) for line in self._outlines])

    @cached_property
    def street(self) -> list[Spot]:
        """Places along the middle of named streets, every STEP_M, outside buildings."""
        spots: list[Spot] = []
        for street in self.ground.streets:
            if not street.name or street.kind not in DRIVEN:
                continue
            line = np.array(self.plane.to_plane(*np.array(street.points_deg).T)).T
            spots.extend(
                spot for spot in _along(line) if not self.is_inside(spot.east_m, spot.north_m)
            )
        return spots

    @cached_property
    def lamps(self) -> list[Spot]:
        """Street lamps close to a named street, turned along it."""
        return [
            Spot(east_m, north_m, nearest.azimuth_deg)
            for lamp in self.ground.furniture
            if lamp.kind is FurnitureKind.LAMP
            for east_m, north_m in [self.to_plane((lamp.lat_deg, lamp.lon_deg))]
            for nearest, off_m in [self._nearest_street(east_m, north_m)]
            if off_m < LAMP_TO_STREET_M and not self.is_inside(east_m, north_m)
        ]

    @cached_property
    def walls(self) -> list[Spot]:
        """Places 0.5 m before a house wall that looks onto a named street, turned outward."""
        spots: list[Spot] = []
        for outline in self._outlines:
            for start, end in pairwise(outline):
                length_m = float(np.hypot(*(end - start)))
                if length_m < SHORTEST_WALL_M:
                    continue
                normal = np.array([end[1] - start[1], start[0] - end[0]]) / length_m
                for outward in (normal, -normal):
                    east_m, north_m = (start + end) / 2.0 + 0.5 * outward
                    street, off_m = self._nearest_street(float(east_m), float(north_m))
                    towards = np.array([street.east_m - east_m, street.north_m - north_m])
                    if off_m > WALL_TO_STREET_M or float(towards @ outward) < 0.7 * off_m:
                        continue
                    if not self.is_inside(float(east_m), float(north_m)):
                        face_deg = float(np.degrees(np.arctan2(*outward))) % 360.0
                        spots.append(Spot(float(east_m), float(north_m), face_deg))
        return spots

    def is_inside(self, east_m: float, north_m: float) -> bool:
        """Whether a building stands there; its courtyards count as built over."""
        west, south, east, north = self._boxes.reshape(-1, 4).T
        near = (west <= east_m) & (east_m <= east) & (south <= north_m) & (north_m <= north)
        return any(_holds(self._outlines[index], east_m, north_m) for index in np.flatnonzero(near))

    def skyline(self, spot: Spot, height_m: float) -> Skyline:
        """What can be seen from a spot, `height_m` above the street."""
        return Skyline(
            self.to_world(spot),
            self.ground.buildings,
            observer_height_m=height_m,
            default_height_m=ROOF_M,
        )

    def to_plane(self, place: LatLon) -> tuple[float, float]:
        """(east_m, north_m) of one place."""
        east_m, north_m = self.plane.to_plane(*place)
        return float(east_m), float(north_m)

    def to_world(self, spot: Spot) -> LatLon:
        """(lat_deg, lon_deg) of a spot."""
        lat_deg, lon_deg = self.plane.to_world(spot.east_m, spot.north_m)
        return float(lat_deg), float(lon_deg)

    def _nearest_street(self, east_m: float, north_m: float) -> tuple[Spot, float]:
        off_m = np.hypot(*(self._street_array - (east_m, north_m)).T)
        nearest = int(np.argmin(off_m))
        return self.street[nearest], float(off_m[nearest])

    @cached_property
    def _street_array(self) -> FloatArray:
        return np.array([(spot.east_m, spot.north_m) for spot in self.street])


def _along(line: FloatArray) -> list[Spot]:
    """Spots every STEP_M of a line of shape (points, 2), turned along it."""
    spots = []
    for start, end in pairwise(line):
        length_m = float(np.hypot(*(end - start)))
        azimuth_deg = float(np.degrees(np.arctan2(*(end - start)))) % 360.0
        for share in np.arange(STEP_M / 2.0, length_m, STEP_M) / max(length_m, 1e-9):
            east_m, north_m = start + share * (end - start)
            spots.append(Spot(float(east_m), float(north_m), azimuth_deg))
    return spots


def _holds(outline: FloatArray, east_m: float, north_m: float) -> bool:
    """Even-odd rule: a ray to the east crosses the closed outline an odd number of times."""
    east, north = outline.T
    crosses = (north[:-1] > north_m) != (north[1:] > north_m)
    rise = np.where(crosses, north[1:] - north[:-1], 1.0)
    at_m = east[:-1] + (north_m - north[:-1]) / rise * (east[1:] - east[:-1])
    return bool(np.count_nonzero(crosses & (at_m > east_m)) % 2)
