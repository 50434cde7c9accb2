"""OpenStreetMap extracts in PBF, read with osmium; a desk's work, as osmium is compiled.

Two passes keep the memory small: the first learns which ways the building relations need,
the second hands over only objects whose tags can matter, filtered before Python sees them.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

from surveyapp.errors import FormatError, MissingPackage
from surveyapp.exchange.files import refuse_larger
from surveyapp.exchange.ground import (
    FURNITURE_TAGS,
    OSM_ATTRIBUTION,
    WAY_KEYS,
    GroundBuilder,
    GroundRead,
    Place,
    is_building,
    is_street,
)
from surveyapp.exchange.osm_outlines import Outline, add_outlines, building_outline

MOST_BYTES = 100_000_000  # osmium then holds some 300 MB of point positions
_WKB_HEADER = 9  # bytes before the first number: order, type, count of points


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
        import osmium.geom
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
    refuse_larger(path, MOST_BYTES, "cut it to the area you survey")


def _source(osmium: Any, path: Path) -> Any:
    """The file, told to be PBF whatever its name ends in."""
    return osmium.io.File(str(path), "pbf")


def _building_outlines(osmium: Any, path: Path) -> list[Outline]:
    relations = osmium.FileProcessor(_source(osmium, path), osmium.osm.RELATION)
    relations.with_filter(osmium.filter.KeyFilter("building", "building:part"))
    outlines = [
        building_outline(
            {tag.k: tag.v for tag in relation.tags},
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
    points_of = _points_reader(osmium)

    class Untagged:
        """Sees what the filter holds back: among it, members of building relations."""

        def way(self, way: Any) -> None:
            if way.id in members:
                ways[way.id] = points_of(way)

    objects = osmium.FileProcessor(
        _source(osmium, path), osmium.osm.NODE | osmium.osm.WAY
    ).with_locations()
    by_tag = osmium.filter.TagFilter(*FURNITURE_TAGS).enable_for(osmium.osm.NODE)
    by_key = osmium.filter.KeyFilter(*WAY_KEYS).enable_for(osmium.osm.WAY)
    objects.with_filter(by_tag).with_filter(by_key).handler_for_filtered(Untagged())
    for thing in objects:
        tags = thing.tags
        if thing.is_node():
            if thing.location.valid():
                builder.add_point(tags, thing.location.lat, thing.location.lon)
            continue
        if thing.id in members:
            ways[thing.id] = points_of(thing)
        if is_building(tags) and thing.is_closed():
            builder.add_area(tags, [points_of(thing)])
        elif is_street(tags):
            builder.add_line(tags, points_of(thing))
    return ways


def _points_reader(osmium: Any) -> Callable[[Any], list[Place]]:
    """A function from a way to its nodes' positions in degrees.

    A whole way goes through osmium's well-known binary, many times quicker than node by
    node; that fails for a way with nodes the extract does not hold, which become None.
    """
    binary = osmium.geom.WKBFactory()
    every_node = osmium.geom.use_nodes.ALL
    unheld = (osmium.InvalidLocationError, RuntimeError)

    def points(way: Any) -> list[Place]:
        try:
            data = bytes.fromhex(binary.create_linestring(way, every_node))
        except unheld:
            return [(node.lat, node.lon) if node.location.valid() else None for node in way.nodes]
        numbers = struct.unpack_from(f"<{(len(data) - _WKB_HEADER) // 8}d", data, _WKB_HEADER)
        return list(zip(numbers[1::2], numbers[::2], strict=True))

    return points
