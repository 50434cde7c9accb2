"""The ground laid out in the plane once, as arrays: what the layers of the plan are made of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import FurnitureKind, Ground, LatLon
from surveyapp.report.look import PATH_WIDTH_M, STREET_WIDTH_M
from surveyapp.ui.plan.street_names import NamedLine

FloatArray = NDArray[np.float64]
BoxM = tuple[float, float, float, float]


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


def lay_out_ground(ground: Ground, plane: Plane, box_m: BoxM | None = None) -> GroundShapes:
    """All lines, rings and points of a ground projected in three calls.

    With `box_m` (west, south, east, north) only what has its middle in it, so that boxes side
    by side share nothing.
    """
    streets = plane.lines_to_plane([street.points_deg for street in ground.streets])
    lines = [
        NamedLine(street.name, street.kind, points)
        for street, points in zip(ground.streets, streets, strict=True)
        if _is_in(points, box_m)
    ]
    by_width: dict[float, list[FloatArray]] = defaultdict(list)
    for line in lines:
        by_width[STREET_WIDTH_M.get(line.kind, 0.0)].append(line.points_m)
    paths = by_width.pop(0.0, [])
    return GroundShapes(
        streets=tuple(_street_class(width, by_width[width]) for width in sorted(by_width)),
        paths=_street_class(PATH_WIDTH_M, paths) if paths else None,
        buildings=tuple(r for r in _rings(ground, plane) if _is_in(r[0], box_m)),
        furniture=_furniture(ground, plane, box_m),
        names=tuple(line for line in lines if line.name),
    )


def _rings(ground: Ground, plane: Plane) -> Iterable[tuple[FloatArray, ...]]:
    """Outline and holes of each building."""
    rings = [ring for house in ground.buildings for ring in (house.outline_deg, *house.holes_deg)]
    projected = iter(plane.lines_to_plane(rings))
    for house in ground.buildings:
        yield tuple(next(projected) for _ in range(1 + len(house.holes_deg)))


def _is_in(points_m: FloatArray, box_m: BoxM | None) -> bool:
    if box_m is None:
        return True
    east_m, north_m = ((points_m.min(axis=0) + points_m.max(axis=0)) / 2).tolist()
    return box_m[0] <= east_m < box_m[2] and box_m[1] <= north_m < box_m[3]


def _street_class(width_m: float, lines: Iterable[FloatArray]) -> StreetClass:
    pieces = list(lines)
    return StreetClass(
        width_m,
        np.concatenate([line[:-1] for line in pieces]),
        np.concatenate([line[1:] for line in pieces]),
    )


def _furniture(ground: Ground, plane: Plane, box_m: BoxM | None) -> dict[FurnitureKind, FloatArray]:
    places: dict[FurnitureKind, list[LatLon]] = defaultdict(list)
    for thing in ground.furniture:
        places[thing.kind].append((thing.lat_deg, thing.lon_deg))
    found = {}
    for kind, degrees in places.items():
        points = np.column_stack(plane.to_plane(*np.asarray(degrees).T))
        if box_m is not None:
            inside = (points >= box_m[:2]) & (points < box_m[2:])
            points = points[inside.all(axis=1)]
        found[kind] = points
    return found
