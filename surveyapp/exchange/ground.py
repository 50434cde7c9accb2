"""What all readers of ground share: OpenStreetMap tags to streets, buildings and furniture.

A reader hands over points, lines and areas with their tags; `GroundBuilder` decides what
they are, leaves out what a street survey has no use for, skips and counts what is broken,
and keeps the memory bounded.

Left out silently, as not part of the street scene: ways under ground, indoors, planned or
being built; squares (areas of `highway`) without a name; canopies and buildings under ground.
A square with a name is a street along its rim, as many a shopping street is mapped so and
people find a place by it. Tag meanings:
OpenStreetMap wiki, pages 'Key:highway', 'Key:building', 'Key:man_made' (from memory).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from surveyapp.errors import FormatError
from surveyapp.exchange.building_heights import (
    base_height_m,
    building_height_m,
    states_a_height,
)
from surveyapp.exchange.building_parts import Volume, standing
from surveyapp.exchange.rings import Ring, join_rings, ring_holds
from surveyapp.model import Building, Furniture, FurnitureKind, Ground, LatLon, Street

OSM_ATTRIBUTION = "Data (c) OpenStreetMap contributors, Open Database License 1.0"
MOST_POINTS = 2_000_000  # about 300 MB in memory: a large city, far beyond a survey
MOST_COMPARED = 20_000_000  # edges held against points inside: some seconds

_CLASSES = ("motorway", "trunk", "primary", "secondary", "tertiary")
STREET_KINDS = frozenset(
    {"unclassified", "residential", "living_street", "service", "pedestrian", "track", "road"}
    | {"busway", "bridleway", "cycleway", "footway", "path", "steps"}
    | {f"{name}{ending}" for name in _CLASSES for ending in ("", "_link")}
)
NO_BUILDING = frozenset({"no", "roof", "entrance"})
FURNITURE_TAGS = {
    ("highway", "street_lamp"): FurnitureKind.LAMP,
    ("highway", "traffic_signals"): FurnitureKind.SIGNAL,
    ("man_made", "utility_pole"): FurnitureKind.POLE,
    ("power", "pole"): FurnitureKind.POLE,
    ("natural", "tree"): FurnitureKind.TREE,
}
WAY_KEYS = ("highway", "building", "building:part")
"""The keys that decide for lines and areas; a way with none of them is no part of the ground."""

Tags = Mapping[str, str]
Place = LatLon | None
"""A point of a line; None where the file names it but does not hold it, or not validly."""

Reason = tuple[str, str]
SHORT_STREET = ("street has fewer than two points", "streets have fewer than two points")
CUT_STREET = (
    "street was kept only as far as the file holds its points",
    "streets were kept only as far as the file holds their points",
)
BROKEN_OUTLINE = (
    "building has no closed outline of three corners or more within the file",
    "buildings have no closed outline of three corners or more within the file",
)
BROKEN_HOLE = ("courtyard is not closed within the file", "courtyards are not closed in the file")
BAD_POSITION = (
    "point lies outside latitude -90 to 90 and longitude -180 to 180",
    "points lie outside latitude -90 to 90 and longitude -180 to 180",
)
ODD_HEIGHT = (
    "building has a height that cannot be read and counts as unknown",
    "buildings have a height that cannot be read and count as unknown",
)
HANGING = (
    "building part hangs over open ground and was left out",
    "building parts hang over open ground and were left out",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class GroundRead:
    """What came in, and what did not: one plain phrase with its count for each reason."""

    ground: Ground
    skipped: tuple[str, ...] = ()


def is_position(lat_deg: float, lon_deg: float) -> bool:
    """True for a place on Earth; NaN is none."""
    return -90.0 <= lat_deg <= 90.0 and -180.0 <= lon_deg <= 180.0


def is_building(tags: Tags) -> bool:
    """True where the tags describe a building, or a part of one, that stands above ground."""
    if tags.get("location") == "underground" or _layer(tags) < 0:
        return False
    value = tags.get("building:part") or tags.get("building")
    return value is not None and value not in NO_BUILDING


def is_street(tags: Tags) -> bool:
    """True where the tags describe a street or path in the open, or a square with a name."""
    if tags.get("highway") not in STREET_KINDS:
        return False
    if tags.get("area") == "yes" and not tags.get("name"):
        return False
    under_ground = tags.get("tunnel", "no") not in {"no", "building_passage"}
    return not under_ground and tags.get("indoor", "no") == "no"


def furniture_kind(tags: Tags) -> FurnitureKind | None:
    """The kind of street furniture the tags of a point describe, if any."""
    for (key, value), kind in FURNITURE_TAGS.items():
        if tags.get(key) == value:
            return kind
    return None


class GroundBuilder:
    """Gathers the ground of one file; `path` is named in what it complains of."""

    def __init__(self, path: str) -> None:
        self._path = path
        self._streets: list[Street] = []
        self._volumes: list[Volume] = []
        self._furniture: list[Furniture] = []
        self._points = 0
        self._compared = 0
        self._skipped: Counter[Reason] = Counter()

    def skip(self, reason: Reason, count: int = 1) -> None:
        """Count something that was left out because it is broken."""
        self._skipped[reason] += count

    def add_point(self, tags: Tags, lat_deg: float, lon_deg: float) -> None:
        """Take a point if it is street furniture."""
        kind = furniture_kind(tags)
        if kind is not None:
            self._count(1)
            self._furniture.append(Furniture(kind=kind, lat_deg=lat_deg, lon_deg=lon_deg))

    def add_line(self, tags: Tags, points: Sequence[Place]) -> None:
        """Take a line as a street, cut at points the file does not hold."""
        runs = _runs(points)
        if None in points:
            self.skip(CUT_STREET)
        elif not runs:
            self.skip(SHORT_STREET)
        for run in runs:
            self._count(len(run))
            self._streets.append(
                Street(
                    name=tags.get("name", "").strip(),
                    kind=tags.get("highway", ""),
                    points_deg=tuple(run),
                )
            )

    def add_area(
        self, tags: Tags, outers: Sequence[Sequence[Place]], inners: Sequence[Sequence[Place]] = ()
    ) -> None:
        """Take an area as a building: pieces of its outer rings and of its courtyards."""
        self._count(sum(map(len, (*outers, *inners))))
        rings, left_over = join_rings([_whole(piece) for piece in outers])
        holes, holes_left_over = join_rings([_whole(piece) for piece in inners])
        if left_over or not rings:
            self.skip(BROKEN_OUTLINE)
        if holes_left_over:
            self.skip(BROKEN_HOLE)
        height_m = building_height_m(tags)
        if height_m is None and states_a_height(tags):
            self.skip(ODD_HEIGHT)
        self._compare(sum(map(len, rings)) * len(holes))
        for ring in rings:
            own = tuple(hole for hole in holes if _lies_in(hole, ring))
            building = Building(
                outline_deg=ring,
                holes_deg=own,
                height_m=height_m,
                name=tags.get("name", "").strip(),
            )
            is_part = tags.get("building:part", "no") != "no"
            self._volumes.append(Volume(building, base_height_m(tags), is_part))

    def finish(self, attribution: str) -> GroundRead:
        """The ground gathered so far; raises FormatError where there is none at all."""
        buildings, hanging = standing(self._volumes, self._compare)
        if hanging:
            self.skip(HANGING, hanging)
        skipped = tuple(
            f"{count} {one if count == 1 else many}" for (one, many), count in self._skipped.items()
        )
        if not (self._streets or buildings or self._furniture):
            told = f" ({'; '.join(skipped)})" if skipped else ""
            raise FormatError(
                f"{self._path} holds no street, building, lamp, signal, pole or tree"
                f"{told}: choose an extract of the streets you survey.",
                path=self._path,
            )
        ground = Ground(
            streets=tuple(self._streets),
            buildings=buildings,
            furniture=tuple(self._furniture),
            attribution=attribution,
        )
        return GroundRead(ground=ground, skipped=skipped)

    def _count(self, points: int) -> None:
        self._points += points
        if self._points > MOST_POINTS:
            raise FormatError(
                f"{self._path} holds more than {MOST_POINTS:,} points of streets and buildings: "
                "cut it to the area you survey first.",
                path=self._path,
            )

    def _compare(self, edges: int) -> None:
        self._compared += edges
        if self._compared > MOST_COMPARED:
            raise FormatError(
                f"{self._path} holds buildings or courtyards that lie over each other without "
                "end: choose another extract.",
                path=self._path,
            )


def _layer(tags: Tags) -> int:
    text = tags.get("layer", "0")
    return int(text) if re.fullmatch(r"-?[0-9]{1,2}", text) else 0


def _runs(points: Sequence[Place]) -> list[list[LatLon]]:
    """The stretches of two or more different points that the file holds."""
    runs: list[list[LatLon]] = [[]]
    for point in points:
        if point is None:
            runs.append([])
        elif not runs[-1] or runs[-1][-1] != point:
            runs[-1].append(point)
    return [run for run in runs if len(run) >= 2]


def _whole(piece: Sequence[Place]) -> list[LatLon]:
    """The piece, or nothing where any of its points is missing."""
    held = [point for point in piece if point is not None]
    return held if len(held) == len(piece) else []


def _lies_in(hole: Ring, ring: Ring) -> bool:
    """A courtyard belongs to the ring that holds the middle of its first edge or a corner."""
    (lat_a, lon_a), (lat_b, lon_b) = hole[0], hole[1]
    return ring_holds(ring, (lat_a + lat_b) / 2, (lon_a + lon_b) / 2) or any(
        ring_holds(ring, lat, lon) for lat, lon in hole
    )
