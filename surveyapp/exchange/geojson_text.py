"""GeoJSON documents (RFC 7946) and their features, for every reader of GeoJSON here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from surveyapp.exchange.files import refused
from surveyapp.exchange.json_text import load_object

KINDS = {"Point": "point", "LineString": "line", "Polygon": "area"}


def load_geojson(path: Path) -> dict[str, Any]:
    """A GeoJSON document in WGS84; raises FormatError for anything else."""
    document = load_object(path)
    if "type" not in document:
        raise refused(path, "is JSON but not GeoJSON: it has no member 'type'")
    _refuse_other_reference(document, path)
    return document


def _refuse_other_reference(document: Mapping[str, Any], path: Path) -> None:
    """RFC 7946 knows only WGS84; the older `crs` member may say otherwise."""
    crs = document.get("crs")
    if crs is None:
        return
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = str(properties.get("name") if isinstance(properties, dict) else crs)
    if not name.endswith(("CRS84", ":4326")):
        raise refused(path, f"is in the reference system '{name[:60]}': convert it to WGS84")


def features(document: dict[str, Any], path: Path) -> Iterator[dict[str, Any]]:
    """The features of a collection; a single feature or a bare geometry counts as one."""
    kind = document["type"]
    if kind == "FeatureCollection":
        features = document.get("features")
        if not isinstance(features, list):
            raise refused(path, "is a FeatureCollection without a list of features")
        yield from features
    elif kind == "Feature":
        yield document
    elif kind == "GeometryCollection" or str(kind).removeprefix("Multi") in KINDS:
        yield {"type": "Feature", "properties": None, "geometry": document}
    else:
        raise refused(path, f"has the type '{str(kind)[:40]}', which GeoJSON does not know")
