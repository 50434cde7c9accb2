"""Lines and polygons of GeoJSON (RFC 7946) as streets and buildings."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange.formats import read_ground, read_ground_with_report
from surveyapp.model import Building, Furniture, FurnitureKind, Street

RING = [[24.94, 60.17], [24.95, 60.17], [24.95, 60.18], [24.94, 60.17]]
YARD = [[24.946, 60.172], [24.948, 60.172], [24.948, 60.174], [24.946, 60.172]]
LINE = [[24.94, 60.17], [24.95, 60.17, 12.0]]


def feature(kind: str, coordinates: Any, **properties: Any) -> dict[str, Any]:
    """One GeoJSON feature."""
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": kind, "coordinates": coordinates},
    }


def write(folder: Path, *features: Any, **members: Any) -> Path:
    """A feature collection in a file."""
    path = folder / "ground.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features, **members}))
    return path


def test_lines_polygons_and_points_become_ground(tmp_path: Path) -> None:
    """Names, heights and kinds come from properties under OpenStreetMap's keys."""
    path = write(
        tmp_path,
        feature("LineString", LINE, name="Mill Street", highway="residential"),
        feature("Polygon", [RING, YARD], name="Mill", height=12.5),
        feature("Polygon", [RING], **{"building": "yes", "building:levels": 4}),
        feature("Point", [24.94, 60.17], highway="street_lamp"),
        feature("MultiPoint", [[24.94, 60.17], [24.95, 60.17]], natural="tree"),
        attribution="Town of Example, open data",
    )

    ground = read_ground(path)

    ring = tuple((lat, lon) for lon, lat in RING)
    yard = tuple((lat, lon) for lon, lat in YARD)
    assert ground.streets == (
        Street(name="Mill Street", kind="residential", points_deg=((60.17, 24.94), (60.17, 24.95))),
    )
    assert ground.buildings == (
        Building(outline_deg=ring, holes_deg=(yard,), height_m=12.5, name="Mill"),
        Building(outline_deg=ring, height_m=12.0),
    )
    assert ground.furniture == (
        Furniture(kind=FurnitureKind.LAMP, lat_deg=60.17, lon_deg=24.94),
        Furniture(kind=FurnitureKind.TREE, lat_deg=60.17, lon_deg=24.94),
        Furniture(kind=FurnitureKind.TREE, lat_deg=60.17, lon_deg=24.95),
    )
    assert ground.attribution == "Town of Example, open data"


def test_multi_geometries_and_collections_are_taken_apart(tmp_path: Path) -> None:
    """Each part of a MultiLineString, MultiPolygon or GeometryCollection counts."""
    collection = {
        "type": "GeometryCollection",
        "geometries": [
            {"type": "MultiLineString", "coordinates": [LINE, LINE]},
            {"type": "MultiPolygon", "coordinates": [[RING], [YARD]]},
        ],
    }
    path = tmp_path / "parts.json"
    path.write_text(json.dumps(collection))

    ground = read_ground(path)

    assert (len(ground.streets), len(ground.buildings)) == (2, 2)
    assert ground.attribution == ""


def test_what_says_it_is_something_else_is_no_ground(tmp_path: Path) -> None:
    """A river is no street and a park no building, and neither is worth a complaint."""
    path = write(
        tmp_path,
        feature("LineString", LINE, waterway="river", name="Mill Brook"),
        feature("Polygon", [RING], leisure="park"),
        feature("Polygon", [RING], building="roof"),
        feature("Point", [24.94, 60.17], amenity="bench"),
        {"type": "Feature", "properties": None, "geometry": None},
        feature("LineString", LINE),
    )

    read = read_ground_with_report(path)

    assert len(read.ground.streets) == 1
    assert not read.ground.buildings
    assert read.skipped == ()


def test_broken_features_are_skipped_and_counted(tmp_path: Path) -> None:
    """One bad feature does not cost the good ones; each reason is told with its count."""
    path = write(
        tmp_path,
        feature("LineString", LINE, name="Mill Street"),
        feature("LineString", [[24.94, 60.17]]),
        feature("Polygon", [RING[:2]]),
        feature("Polygon", [RING], height="very"),
        feature("LineString", [[24.94, 95.0], *LINE]),
        feature("LineString", [["a", "b"], ["c", "d"]]),
        feature("LineString", "text"),
        feature("Curve", LINE),
        {"type": "Feature", "geometry": {"type": ["x"], "coordinates": {}}, "properties": [1]},
        7,
        None,
    )

    read = read_ground_with_report(path)

    assert [street.points_deg for street in read.ground.streets] == [
        ((60.17, 24.94), (60.17, 24.95))
    ] * 2
    assert len(read.ground.buildings) == 1
    assert sorted(read.skipped) == sorted(
        [
            "1 street has fewer than two points",
            "1 building has no closed outline of three corners or more within the file",
            "1 building has a height that cannot be read and counts as unknown",
            "1 point lies outside latitude -90 to 90 and longitude -180 to 180",
            "1 street was kept only as far as the file holds its points",
            "6 features have no geometry that RFC 7946 allows",
        ]
    )


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b'{"type": "FeatureCollection", "features": [', "is no valid JSON (line 1"),
        (b'{"type": "FeatureCollection"}', "without a list of features"),
        (b"[" * 100_000, "nested too deep"),
        (b'{"type": "Point", "coordinates": [NaN, 1]}', "NaN is no number in JSON"),
        (b'{"type": "Point", "coordinates": [1e999, 1]}', "holds no street"),
        (b'{"type": "Point", "coordinates": [' + b"9" * 5000 + b", 1]}", "cannot be used"),
        ('{"type": "Feature", "name": "Mühlweg"}'.encode("latin-1"), "not in UTF-8 (byte 31)"),
        (b"\x00\x01\x02", "no valid JSON"),
        (b"[1, 2]", "no object"),
        (b"{}", "not GeoJSON"),
        (b'{"type": "Topology"}', "'Topology', which GeoJSON does not know"),
        (b'{"type": ["Feature"]}', "which GeoJSON does not know"),
        (b'{"type": "FeatureCollection", "features": []}', "holds no street"),
        (
            b'{"type": "FeatureCollection", "features": [], "crs": {"type": "name",'
            b' "properties": {"name": "urn:ogc:def:crs:EPSG::3067"}}}',
            "reference system 'urn:ogc:def:crs:EPSG::3067'",
        ),
        (b'{"type": "Feature", "geometry": null, "crs": {"properties": [1]}}', "reference system"),
    ],
)
def test_a_file_that_is_no_usable_geojson_is_refused_in_one_sentence(
    tmp_path: Path, content: bytes, says: str
) -> None:
    """The message names the file and what is wrong with it, and carries the path."""
    path = tmp_path / "bad.geojson"
    path.write_bytes(content)

    with pytest.raises(FormatError) as caught:
        read_ground(path)

    assert says in str(caught.value)
    assert str(path) in str(caught.value)
    assert caught.value.path == str(path)
