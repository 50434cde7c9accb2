"""The ground: streets, buildings and street furniture, imported for work offline."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FurnitureKind(StrEnum):
    """Street furniture a node may stand on or hide behind."""

    LAMP = "lamp"
    SIGNAL = "signal"
    POLE = "pole"
    TREE = "tree"


LatLon = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Street:
    """A street or path of the ground; `kind` is its OpenStreetMap highway value."""

    name: str = ""
    kind: str = ""
    points_deg: tuple[LatLon, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Building:
    """A building of the ground. Rings are closed: the first point is repeated at the end.

    `height_m` is None where the data state neither a height nor a number of levels.
    """

    outline_deg: tuple[LatLon, ...]
    holes_deg: tuple[tuple[LatLon, ...], ...] = ()
    height_m: float | None = None
    name: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Furniture:
    """A lamp, a signal, a pole or a tree of the ground."""

    kind: FurnitureKind
    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Ground:
    """Streets, buildings and furniture of one box, with the attribution they require."""

    streets: tuple[Street, ...] = ()
    buildings: tuple[Building, ...] = ()
    furniture: tuple[Furniture, ...] = ()
    attribution: str = ""
