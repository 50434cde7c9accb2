"""OpenStreetMap extracts in PBF, read with osmium; a desk's work, as osmium is compiled.

Two passes keep the memory small: the first learns which ways the building relations need,
the second hands over only objects whose tags can matter, filtered before Python sees them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from surveyapp.errors import FormatError, MissingPackage
from surveyapp.exchange.ground import (
    GROUND_KEYS,
    OSM_ATTRIBUTION,
    GroundBuilder,
    GroundRead,
    Place,
    is_building,
    is_street,
)
from surveyapp.exchange.osm_outlines import Outline, add_outlines, building_outline

MOST_BYTES = 100_000_000  # osmium then holds some 300 MB of point positions
_UNITS_A_DEGREE = 10_000_000  # PBF and osmium store ten-millionths of a degree
_MOST_X, _MOST_Y = 180 * _UNITS_A_DEGREE, 90 * _UNITS_A_DEGREE


def read_pbf(path: Path) -> GroundRead:
    """The ground in an OpenStreetMap PBF file.

    Raises FormatError for a file that is no PBF, is damaged, too large, or holds no ground,
    and MissingPackage where osmium is not installed.
    """
    _refuse_what_is_no_pbf(path)
    osmium = _osmium()
    builder = GroundBuilder(str(path))
    try:
        outlines = _building_outlines(osmium, path)
        ways = _fill(osmium, path, builder, outlines)
    except (RuntimeError, ValueError) as error:
        if isinstance(error, FormatError):
            raise
        raise FormatError(
            f"{path} is damaged or was cut short ({error}): fetch the extract again.",
            path=str(path),
        ) from error
    add_outlines(builder, outlines, ways)
    return builder.finish(OSM_ATTRIBUTION)


def _osmium() -> Any:
    try:
        import osmium
        import osmium.filter
    except ImportError as error:
        raise MissingPackage(
            "Reading a PBF file needs osmium: pip install 'surveyapp[desk]', "
            "or bring in the same streets as OpenStreetMap XML (.osm)."
        ) from error
    return osmium


def _refuse_what_is_no_pbf(path: Path) -> None:
    """A PBF begins with the length of its first header, then the block type OSMHeader."""
    with path.open("rb") as file:
        start = file.read(64)
    if b"OSMHeader" not in start:
        raise FormatError(
            f"{path} is no OpenStreetMap PBF file: its first bytes are something else. "
            "Fetch the extract again, or name the file by what it is.",
            path=str(path),
            place="start of file",
        )
    if path.stat().st_size > MOST_BYTES:
        raise FormatError(
            f"{path} is larger than {MOST_BYTES // 1_000_000} MB: cut it to the area you survey.",
            path=str(path),
        )


def _source(osmium: Any, path: Path) -> Any:
    """The file, told to be PBF whatever its name ends in."""
    return osmium.io.File(str(path), "pbf")


def _building_outlines(osmium: Any, path: Path) -> list[Outline]:
    relations = osmium.FileProcessor(_source(osmium, path), osmium.osm.RELATION)
    relations.with_filter(osmium.filter.KeyFilter("building", "building:part"))
    outlines = [
        building_outline(
            _tags(relation),
            [(member.ref, member.role) for member in relation.members if member.type == "w"],
        )
        for relation in relations
    ]
    return [outline for outline in outlines if outline is not None]


def _fill(
    osmium: Any, path: Path, builder: GroundBuilder, outlines: list[Outline]
) -> dict[int, list[Place]]:
    """Hand all points and ways to the builder; returns the ways the relations ask for."""
    members = {way for outline in outlines for way in outline.outer_ids + outline.inner_ids}
    ways: dict[int, list[Place]] = {}

    class Untagged:
        """Sees what the filter holds back: among it, members of building relations."""

        def way(self, way: Any) -> None:
            if way.id in members:
                ways[way.id] = _points(way)

    objects = osmium.FileProcessor(
        _source(osmium, path), osmium.osm.NODE | osmium.osm.WAY
    ).with_locations()
    objects.with_filter(osmium.filter.KeyFilter(*GROUND_KEYS))
    objects.handler_for_filtered(Untagged())
    for thing in objects:
        tags = _tags(thing)
        if thing.is_node():
            if thing.location.valid():
                x, y = thing.location.x, thing.location.y
                builder.add_point(tags, y / _UNITS_A_DEGREE, x / _UNITS_A_DEGREE)
            continue
        if thing.id in members:
            ways[thing.id] = _points(thing)
        if is_building(tags) and thing.is_closed():
            builder.add_area(tags, [_points(thing)])
        elif is_street(tags):
            builder.add_line(tags, _points(thing))
    return ways


def _tags(thing: Any) -> dict[str, str]:
    return {tag.k: tag.v for tag in thing.tags}


def _points(way: Any) -> list[Place]:
    """Positions of a way's nodes in degrees; None for nodes the extract does not hold."""
    return [
        (node.y / _UNITS_A_DEGREE, node.x / _UNITS_A_DEGREE)
        if -_MOST_X <= node.x <= _MOST_X and -_MOST_Y <= node.y <= _MOST_Y
        else None
        for node in way.nodes
    ]
