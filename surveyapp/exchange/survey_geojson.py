"""Rows of a survey as GeoJSON (RFC 7946), one feature a row and a line, and back.

A row without a position of its own is drawn where its stop or site is; on reading only its
properties count. Coordinates are written with all their digits.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Content, Gatherer, whole_file
from surveyapp.exchange.files import refused
from surveyapp.exchange.json_text import load_object
from surveyapp.exchange.places_of_rows import PlacesOfRows
from surveyapp.exchange.plain_rows import ROW_KINDS, from_plain, kind_name, to_plain
from surveyapp.exchange.without_pictures import brought_without_photos
from surveyapp.model import Row

_SEPARATORS = (",", ":")


def write_survey_geojson(content: Content, path: Path) -> None:
    """Write the rows as one FeatureCollection. Raises NotebookError where the disk refuses."""
    with whole_file(path) as temporary, open(temporary, "w", encoding="utf-8") as file:
        file.write('{"type":"FeatureCollection","features":[')
        separator = "\n"
        encode = json.JSONEncoder(ensure_ascii=False, separators=_SEPARATORS).encode
        for feature in features(content):
            file.write(separator + encode(feature))
            separator = ",\n"
        file.write("\n]}\n")


def features(content: Content) -> Iterator[dict[str, Any]]:
    """One feature a row, owners first."""
    places = PlacesOfRows(content)
    for row in content.rows:
        place = places.of(row)
        properties = to_plain(row)
        properties.pop("lat_deg", None)
        properties.pop("lon_deg", None)
        yield {
            "type": "Feature",
            "id": row.id,
            "geometry": place and {"type": "Point", "coordinates": [place[1], place[0]]},
            "properties": {"row": kind_name(type(row)), **properties},
        }


def is_survey_geojson(path: Path) -> bool:
    """Whether the first feature of a file is a row as this program writes them."""
    found = load_object(path).get("features")
    return isinstance(found, list) and bool(found) and _kind_of(found[0]) is not None


def read_survey_geojson(path: Path, workspace: Path) -> Brought:
    """The rows of such a file. Raises FormatError where it is no GeoJSON of rows at all."""
    found = load_object(path).get("features")
    if not isinstance(found, list) or (found and not any(_kind_of(item) for item in found)):
        raise refused(path, "holds no rows of a survey: each feature needs a property 'row'")
    gatherer: Gatherer[Row] = Gatherer(path)
    for count, feature in enumerate(found, start=1):
        gatherer.take(f"feature {count}", partial(_row, feature))
    return brought_without_photos(gatherer)


def _kind_of(feature: Any) -> type[Row] | None:
    properties = feature.get("properties") if isinstance(feature, dict) else None
    name = properties.get("row") if isinstance(properties, dict) else None
    return ROW_KINDS.get(name) if isinstance(name, str) else None


def _row(feature: Any) -> Row:
    made = _kind_of(feature)
    if made is None:
        raise InvalidValue("its property 'row' names no kind of row")
    held = dict(feature["properties"])
    geometry = feature.get("geometry")
    if hasattr(made, "lat_deg") and geometry is not None:
        held["lon_deg"], held["lat_deg"] = _position(geometry)
    row: Row = from_plain(made, held)
    return row


def _position(geometry: Any) -> tuple[float, float]:
    """Longitude and latitude of a point."""
    coordinates = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if not isinstance(coordinates, list) or len(coordinates) < 2 or geometry["type"] != "Point":
        raise InvalidValue("its geometry must be a point with longitude and latitude")
    return coordinates[0], coordinates[1]
