"""The ground in the notebook: streets, buildings and furniture, indexed by R*Tree boxes.

Shapes are packed as 32-bit integers of 1e-7 degree, the resolution of OpenStreetMap (about a
centimetre). The ground is brought in whole and replaced whole; it is not part of the journal.
"""

from __future__ import annotations

import sys
from array import array
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import Any, Self, TypeVar

from surveyapp.errors import InvalidValue
from surveyapp.model import Building, Furniture, FurnitureKind, Ground, LatLon, Street
from surveyapp.store.connection import Connection
from surveyapp.store.reach import Box, box_around
from surveyapp.store.values import time_text

_STEPS_PER_DEGREE = 10_000_000
_INSERT = "INSERT INTO {} VALUES (NULL, ?, ?, ?, ?, ?, ?, ?)"
_WITHIN = (
    "SELECT id, {} FROM {} WHERE north_deg >= ? AND south_deg <= ? AND east_deg >= ? "
    "AND west_deg <= ? ORDER BY id"
)
_TABLES = ("ground_street", "ground_building", "ground_furniture")

Shape = TypeVar("Shape", Street, Building, Furniture)


class GroundStore:
    """The ground of one notebook, asked for by box."""

    def __init__(self, connection: Connection, clock: Callable[[], datetime]) -> None:
        self._connection = connection
        self._clock = clock
        self._known: dict[tuple[str, int], Any] | None = None

    def shared(self) -> Self:
        """The same ground for one pass over many places: what several of them hold is one object.

        Let go of it after the pass; it keeps all it has handed out.
        """
        ground = type(self)(self._connection, self._clock)
        ground._known = {}
        return ground

    def replace(self, ground: Ground, source: str) -> None:
        """Put this ground in the place of all there was; `source` says where it comes from.

        Raises InvalidValue, with nothing changed, where a point is no place on Earth.
        """
        streets = [
            (*_box(street.points_deg), street.name, street.kind, _packed([street.points_deg]))
            for street in ground.streets
        ]
        buildings = [
            (
                *_box(building.outline_deg),
                building.name,
                building.height_m,
                _packed([building.outline_deg, *building.holes_deg]),
            )
            for building in ground.buildings
        ]
        furniture = [
            (*_box([(item.lat_deg, item.lon_deg)]), item.kind.value, item.lat_deg, item.lon_deg)
            for item in ground.furniture
        ]
        bounds = _bounds(ground, streets, buildings, furniture)
        when = time_text(self._clock())
        with self._connection.change():
            for table in (*_TABLES, "ground_source"):
                self._connection.run(f"DELETE FROM {table}")
            self._connection.run_many(_INSERT.format(_TABLES[0]), streets)
            self._connection.run_many(_INSERT.format(_TABLES[1]), buildings)
            self._connection.run_many(_INSERT.format(_TABLES[2]), furniture)
            self._connection.run(
                "INSERT INTO ground_source VALUES (?, ?, ?, ?, ?, ?, ?)",
                (source, ground.attribution, when, *(bounds or (None,) * 4)),
            )

    def within(
        self,
        south_deg: float,
        west_deg: float,
        north_deg: float,
        east_deg: float,
        *,
        streets_only: bool = False,
    ) -> Ground:
        """All that touches the box, by the shapes' own boxes (a metre or two generous).

        A box whose west exceeds its east crosses the date line.
        """
        if west_deg > east_deg:
            west_part = self.within(
                south_deg, west_deg, north_deg, 180.0, streets_only=streets_only
            )
            east_part = self.within(
                south_deg, -180.0, north_deg, east_deg, streets_only=streets_only
            )
            return Ground(
                streets=tuple(dict.fromkeys(west_part.streets + east_part.streets)),
                buildings=tuple(dict.fromkeys(west_part.buildings + east_part.buildings)),
                furniture=tuple(dict.fromkeys(west_part.furniture + east_part.furniture)),
                attribution=west_part.attribution,
            )
        box = Box(south_deg, west_deg, north_deg, east_deg)
        streets = self._touching(_TABLES[0], "name, kind, shape", _street, box)
        if streets_only:
            return Ground(streets=streets, attribution=self.attribution)
        return Ground(
            streets=streets,
            buildings=self._touching(_TABLES[1], "name, height_m, shape", _building, box),
            furniture=self._touching(_TABLES[2], "kind, lat_deg, lon_deg", _furniture, box),
            attribution=self.attribution,
        )

    def around(self, lat_deg: float, lon_deg: float, radius_m: float) -> Ground:
        """All that touches the smallest box around the circle of `radius_m`."""
        box = box_around(lat_deg, lon_deg, radius_m)
        return self.within(box.south_deg, box.west_deg, box.north_deg, box.east_deg)

    @property
    def attribution(self) -> str:
        """The attribution that must stand wherever this ground is shown; '' without ground."""
        found = self._connection.one("SELECT attribution FROM ground_source")
        return str(found[0]) if found else ""

    @property
    def source(self) -> str:
        """Where the ground came from; '' without ground."""
        found = self._connection.one("SELECT source FROM ground_source")
        return str(found[0]) if found else ""

    @property
    def bounds(self) -> Box | None:
        """The box that holds all of the ground, or None where there is none."""
        found = self._connection.one(
            "SELECT south_deg, west_deg, north_deg, east_deg FROM ground_source"
        )
        return Box(*found) if found and found[0] is not None else None

    def _touching(
        self, table: str, columns: str, made_of: Callable[..., Shape], box: Box
    ) -> tuple[Shape, ...]:
        """What of a table touches the box, each made once where the ground is shared."""
        known = {} if self._known is None else self._known
        found = []
        for row_id, *values in self._connection.rows(
            _WITHIN.format(columns, table),
            (box.south_deg, box.north_deg, box.west_deg, box.east_deg),
        ):
            if (table, row_id) not in known:
                known[table, row_id] = made_of(*values)
            found.append(known[table, row_id])
        return tuple(found)


def _street(name: str, kind: str, shape: bytes) -> Street:
    return Street(name=name, kind=kind, points_deg=_unpacked(shape)[0])


def _building(name: str, height_m: float | None, shape: bytes) -> Building:
    outline, *holes = _unpacked(shape)
    return Building(outline_deg=outline, holes_deg=tuple(holes), height_m=height_m, name=name)


def _furniture(kind: str, lat_deg: float, lon_deg: float) -> Furniture:
    return Furniture(kind=FurnitureKind(kind), lat_deg=lat_deg, lon_deg=lon_deg)


def _box(points_deg: Sequence[LatLon]) -> tuple[float, float, float, float]:
    """South, north, west and east of some points, in the order of the R*Tree's columns."""
    _judge(points_deg)
    lats, lons = zip(*points_deg, strict=True)
    return min(lats), max(lats), min(lons), max(lons)


def _judge(points_deg: Sequence[LatLon]) -> None:
    """Refuse a shape without points, and points that are no place on Earth."""
    if not points_deg:
        raise InvalidValue("A street or building of the ground has no points.", value=points_deg)
    for lat_deg, lon_deg in points_deg:
        if not (abs(lat_deg) <= 90.0 and abs(lon_deg) <= 180.0):
            raise InvalidValue(
                f"The ground holds a point that is no place on Earth: {lat_deg}, {lon_deg}.",
                value=(lat_deg, lon_deg),
                allowed="latitudes -90 to 90, longitudes -180 to 180 degrees",
            )


def _bounds(ground: Ground, *groups: list[tuple[Any, ...]]) -> Box | None:
    boxes = [shape[:4] for group in groups for shape in group]
    if not boxes:
        return None
    south, north, west, east = zip(*boxes, strict=True)
    low, high = min(west), max(east)
    if high - low > 180.0:  # the shorter way round may be across the date line
        turned = [lon_deg + 360.0 * (lon_deg < 0.0) for lon_deg in _longitudes(ground)]
        if max(turned) - min(turned) < 180.0:
            low, high = min(turned), max(turned) - 360.0 * (max(turned) > 180.0)
    return Box(min(south), low, max(north), high)


def _longitudes(ground: Ground) -> Iterator[float]:
    for street in ground.streets:
        yield from (lon_deg for _, lon_deg in street.points_deg)
    for building in ground.buildings:
        yield from (lon_deg for _, lon_deg in building.outline_deg)
    yield from (item.lon_deg for item in ground.furniture)


def _packed(rings_deg: Sequence[Sequence[LatLon]]) -> bytes:
    """The number of rings, their lengths, then latitude and longitude of every point."""
    for ring in rings_deg:
        _judge(ring)
    held = array("i", [len(rings_deg), *(len(ring) for ring in rings_deg)])
    for ring in rings_deg:
        held.extend(round(degrees * _STEPS_PER_DEGREE) for point in ring for degrees in point)
    return _little_endian(held).tobytes()


def _unpacked(shape: bytes) -> list[tuple[LatLon, ...]]:
    held = array("i")
    held.frombytes(shape)
    held = _little_endian(held)
    count = held[0]
    degrees = [step / _STEPS_PER_DEGREE for step in held[1 + count :]]
    points = list(zip(degrees[::2], degrees[1::2], strict=True))
    rings, start = [], 0
    for length in held[1 : 1 + count]:
        rings.append(tuple(points[start : start + length]))
        start += length
    return rings


def _little_endian(held: array[int]) -> array[int]:
    if sys.byteorder == "big":
        held.byteswap()
    return held
