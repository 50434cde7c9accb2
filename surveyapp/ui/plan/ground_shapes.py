"""The ground laid out in the plane once, as arrays: what the layers of the plan are made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import FurnitureKind, Ground, LatLon
from surveyapp.ui.plan.street_names import NamedLine, joined

FloatArray = NDArray[np.float64]

# Width over all in metres: usual carriageways, our choice where the data state none.
STREET_WIDTH_M = {
    "motorway": 15.0, "trunk": 13.0, "primary": 12.0, "secondary": 11.0, "tertiary": 9.0,
    "unclassified": 7.5, "residential": 7.5, "living_street": 6.0, "pedestrian": 6.0,
    "road": 7.5, "busway": 7.0, "motorway_link": 8.0, "trunk_link": 8.0, "primary_link": 8.0,
    "secondary_link": 7.0, "tertiary_link": 7.0, "service": 4.0, "track": 3.0,
}  # fmt: skip
PATH_WIDTH_M = 1.5


@dataclass(frozen=True, slots=True)
class StreetClass:
    """Streets of one width: ends of their pieces, each of shape (pieces, 2)."""

    width_m: float
    from_m: FloatArray
    to_m: FloatArray


@dataclass(frozen=True, slots=True)
class GroundShapes:
    """The ground in metres of the plane."""

    streets: tuple[StreetClass, ...] = ()  # the narrowest first
    paths: StreetClass | None = None
    buildings: tuple[tuple[FloatArray, ...], ...] = ()  # closed rings: outline, then holes
    furniture: dict[FurnitureKind, FloatArray] = field(default_factory=dict)
    names: tuple[NamedLine, ...] = ()

    def box_m(self) -> tuple[float, float, float, float] | None:
        """(west, south, east, north) of all of it, or None where there is nothing."""
        parts = [street.from_m for street in self.streets]
        parts += [ring for rings in self.buildings for ring in rings]
        parts += list(self.furniture.values()) + ([self.paths.from_m] if self.paths else [])
        if not parts:
            return None
        points = np.concatenate(parts)
        return (*map(float, points.min(axis=0)), *map(float, points.max(axis=0)))


def lay_out_ground(ground: Ground, plane: Plane) -> GroundShapes:
    """All lines, rings and points of a ground projected in three calls."""
    streets = _projected([street.points_deg for street in ground.streets], plane)
    rings = [ring for house in ground.buildings for ring in (house.outline_deg, *house.holes_deg)]
    projected = iter(_projected(rings, plane))
    by_width: dict[float, list[FloatArray]] = defaultdict(list)
    for street, points in zip(ground.streets, streets, strict=True):
        by_width[STREET_WIDTH_M.get(street.kind, 0.0)].append(points)
    paths = by_width.pop(0.0, [])
    return GroundShapes(
        streets=tuple(_street_class(width, by_width[width]) for width in sorted(by_width)),
        paths=_street_class(PATH_WIDTH_M, paths) if paths else None,
        buildings=tuple(
            tuple(next(projected) for _ in range(1 + len(house.holes_deg)))
            for house in ground.buildings
        ),
        furniture=_furniture(ground, plane),
        names=tuple(joined(
            [
                NamedLine(street.name, street.kind, points)
                for street, points in zip(ground.streets, streets, strict=True)
            ]
        )),
    )  # fmt: skip


def _projected(lines: Sequence[Sequence[LatLon]], plane: Plane) -> list[FloatArray]:
    """Each line as an array of shape (points, 2), all by one projection."""
    if not lines:
        return []
    lat_deg, lon_deg = np.concatenate([np.asarray(line) for line in lines]).T
    points = np.column_stack(plane.to_plane(lat_deg, lon_deg))
    return np.split(points, np.cumsum([len(line) for line in lines])[:-1])


def _street_class(width_m: float, lines: Iterable[FloatArray]) -> StreetClass:
    pieces = list(lines)
    return StreetClass(
        width_m,
        np.concatenate([line[:-1] for line in pieces]),
        np.concatenate([line[1:] for line in pieces]),
    )


def _furniture(ground: Ground, plane: Plane) -> dict[FurnitureKind, FloatArray]:
    places: dict[FurnitureKind, list[LatLon]] = defaultdict(list)
    for thing in ground.furniture:
        places[thing.kind].append((thing.lat_deg, thing.lon_deg))
    return {
        kind: np.column_stack(plane.to_plane(*np.asarray(points).T))
        for kind, points in places.items()
    }
