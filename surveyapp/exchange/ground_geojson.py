"""Ground as GeoJSON (RFC 7946): lines are streets, polygons are buildings.

Properties are read as OpenStreetMap tags under their own keys (`name`, `height`,
`building:levels`, `highway`, ...). A line or polygon whose properties say that it is
something else (`waterway`, `landuse`, ...) is no ground; one that says nothing of its kind
is taken as street or building. Points count only with a lamp's, signal's, pole's or tree's
tags.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from surveyapp.errors import NotFound
from surveyapp.exchange.geojson_text import KINDS, features, load_geojson
from surveyapp.exchange.ground import (
    BAD_POSITION,
    GroundBuilder,
    GroundRead,
    Place,
    Reason,
    Tags,
    is_building,
    is_position,
    is_street,
)

DEEPEST_COLLECTION = 8
OTHER_THINGS = frozenset(
    {"aeroway", "amenity", "barrier", "boundary", "landuse", "leisure", "man_made", "natural"}
    | {"power", "railway", "route", "water", "waterway"}
)
BROKEN_FEATURE: Reason = (
    "feature has no geometry that RFC 7946 allows",
    "features have no geometry that RFC 7946 allows",
)


def read_ground_geojson(path: Path) -> GroundRead:
    """The ground in a GeoJSON file, under the file's own `attribution` if it states one.

    Raises FormatError for a file that is no JSON text in UTF-8, no GeoJSON, too large, in
    another reference system than WGS84, or without any ground.
    """
    document = load_geojson(path)
    builder = GroundBuilder(str(path))
    for feature in features(document, path):
        try:
            _take(builder, feature)
        except (TypeError, AttributeError, LookupError):
            builder.skip(BROKEN_FEATURE)
    attribution = document.get("attribution") or document.get("copyright")
    return builder.finish(attribution if isinstance(attribution, str) else "")


def _take(builder: GroundBuilder, feature: Mapping[str, Any]) -> None:
    if feature["geometry"] is None:  # RFC 7946 calls such a feature unlocated
        return
    tags = _tags(feature.get("properties"))
    for kind, coordinates in _parts(feature["geometry"]):
        if kind == "point":
            place = _place(builder, coordinates)
            if place is not None:
                builder.add_point(tags, *place)
        elif kind == "line" and _is_or_may_be(tags, "highway", is_street(tags)):
            builder.add_line(tags, _places(builder, coordinates))
        elif kind == "area" and _is_or_may_be(tags, "building", is_building(tags)):
            rings = [_places(builder, ring) for ring in coordinates]
            builder.add_area(tags, rings[:1], rings[1:])


def _is_or_may_be(tags: Tags, key: str, is_it: bool) -> bool:
    """True where the tags say so, or do not say what the feature is at all."""
    says = OTHER_THINGS | {"highway", "building", "building:part"}
    return is_it or not says & set(tags)


def _parts(geometry: Any, depth: int = 0) -> Iterator[tuple[str, Any]]:
    """The points, lines and areas a geometry is made of, as (kind, coordinates)."""
    if geometry["type"] == "GeometryCollection":
        if depth >= DEEPEST_COLLECTION:
            raise NotFound("A collection of collections of collections is nested too deep to read.")
        for part in geometry["geometries"]:
            yield from _parts(part, depth + 1)
    elif geometry["type"].startswith("Multi"):
        kind = KINDS[geometry["type"].removeprefix("Multi")]
        yield from ((kind, part) for part in geometry["coordinates"])
    else:
        yield KINDS[geometry["type"]], geometry["coordinates"]


def _tags(properties: Any) -> dict[str, str]:
    """Properties as tags: texts and numbers by their text, all else left out."""
    return {
        str(key): str(value)
        for key, value in (properties or {}).items()
        if isinstance(value, str | int | float) and not isinstance(value, bool)
    }


def _places(builder: GroundBuilder, coordinates: Any) -> list[Place]:
    return [_place(builder, position) for position in coordinates]


def _place(builder: GroundBuilder, position: Any) -> Place:
    """Latitude and longitude of a position, which GeoJSON writes the other way round."""
    lon_deg, lat_deg = position[0], position[1]
    if is_position(lat_deg, lon_deg):
        return float(lat_deg), float(lon_deg)
    builder.skip(BAD_POSITION)
    return None
