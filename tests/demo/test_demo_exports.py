"""The demo's survey in every format, read by programs of others: no warning, nothing lost.

GDAL (ogrinfo, ogr2ogr), gpsbabel, exiftool, libxml2 with the published schemas of GPX 1.1 and KML
2.2, and the validator of the geojson package, each where it is installed.
"""

from __future__ import annotations

import json
import re
import struct
import subprocess
import zipfile
from itertools import chain
from pathlib import Path
from xml.etree import ElementTree

import pytest

from surveyapp.exchange.content import Content
from surveyapp.exchange.formats import SURVEY_FORMATS
from surveyapp.exchange.privacy import HomePlace, Privacy, hidden
from surveyapp.model import Device, Photo, Reading, Row, Sighting, Site, SpeedRun, Stop
from surveyapp.store.notebook import Notebook
from tests.third_party import needs, output_of

SCHEMAS = Path(__file__).resolve().parent.parent / "authorities" / "schemas"
PLACED = {"site": Site, "stop": Stop}
LAYERS = {
    "gpkg": {"site": "site", "stop": "stop"},
    "kml": {"site": "Sites", "stop": "Stops"},
    "gpx": {"site": "waypoints", "stop": "waypoints"},
    "geojson": {"site": "x", "stop": "x"},
}
WRITTEN = [known for known in SURVEY_FORMATS if known.write is not None]


def content_of(notebook: Notebook) -> Content:
    """All rows and pictures."""
    rows = notebook.rows_of()
    return Content(rows=rows, pictures=notebook.pictures_of(rows))


@pytest.fixture
def files(notebook: Notebook, tmp_path: Path) -> dict[str, Path]:
    """The demo in each format, nothing hidden."""
    content, found = content_of(notebook), {}
    for known in WRITTEN:
        found[known.key] = tmp_path / f"x{known.suffixes[0]}"
        assert known.write is not None
        known.write(content, found[known.key])
    return found


def places_of(notebook: Notebook, kind: str) -> set[tuple[float, float]]:
    """(longitude, latitude) of all rows of a kind."""
    return {(row.lon_deg, row.lat_deg) for row in notebook.all(PLACED[kind]) if row.lat_deg}


@pytest.mark.parametrize("key", LAYERS)
@pytest.mark.parametrize("kind", PLACED)
def test_gdal_finds_every_place_to_its_last_digit(
    key: str, kind: str, files: dict[str, Path], notebook: Notebook
) -> None:
    """ogr2ogr reads each stop and site where it was noted, and opens the file without a word."""
    needs("ogr2ogr")
    output_of("ogrinfo", "-ro", "-al", files[key])
    told = output_of("ogr2ogr", "-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=15",
                     "/vsistdout/", files[key], LAYERS[key][kind])  # fmt: skip
    found = {
        tuple(feature["geometry"]["coordinates"][:2])
        for feature in json.loads(told)["features"]
        if feature["geometry"] is not None
    }
    if LAYERS[key][kind] in ("x", "waypoints"):  # both kinds are in one layer there
        assert places_of(notebook, kind) <= found
    else:
        assert found == places_of(notebook, kind)


def test_gdal_counts_as_many_rows(files: dict[str, Path], notebook: Notebook) -> None:
    """One feature a row in GeoJSON and GeoPackage, a line a carrier in CSV."""
    needs("ogrinfo")
    carriers = [len(row.carriers) for row in notebook.all(Reading)]
    rows = len(notebook.rows_of())
    counts = {
        key: sum(
            int(line.split(":")[1])
            for line in output_of("ogrinfo", "-ro", "-al", "-so", files[key]).splitlines()
            if line.startswith("Feature Count")
        )
        for key in ("geojson", "csv", "gpx")
    }

    assert counts["geojson"] == rows
    assert counts["csv"] == rows + sum(carriers) - sum(1 for count in carriers if count)
    assert counts["gpx"] == notebook.count(Stop) + notebook.count(Site)


def test_gpsbabel_reads_every_waypoint(files: dict[str, Path], notebook: Notebook) -> None:
    """Through gpsbabel and out again: as many waypoints, to its own nine digits."""
    needs("gpsbabel")
    told = output_of("gpsbabel", "-i", "gpx", "-f", files["gpx"], "-o", "gpx", "-F", "-")
    found = [element for element in ElementTree.fromstring(told) if element.tag.endswith("wpt")]
    wanted = places_of(notebook, "stop") | places_of(notebook, "site")

    assert len(found) == notebook.count(Stop) + notebook.count(Site)
    assert {(float(point.attrib["lon"]), float(point.attrib["lat"])) for point in found} == {
        (round(lon, 9), round(lat, 9)) for lon, lat in wanted
    }


@pytest.mark.parametrize(("key", "schema"), [("gpx", "gpx11.xsd"), ("kml", "ogckml22.xsd")])
def test_libxml_finds_what_the_schemas_demand(
    key: str, schema: str, files: dict[str, Path]
) -> None:
    """xmllint validates against the published schema, without a network."""
    needs("xmllint")
    done = subprocess.run(
        ["xmllint", "--noout", "--nonet", "--schema", SCHEMAS / schema, files[key]],
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.stderr == f"{files[key]} validates\n"


def test_the_geojson_package_finds_no_fault(files: dict[str, Path]) -> None:
    """Its validator passes the whole collection."""
    geojson = pytest.importorskip("geojson")
    with open(files["geojson"], encoding="utf-8") as file:
        found = geojson.load(file)

    assert found.errors() == []
    assert len(found["features"]) > 200


def test_exiftool_finds_no_fault_in_the_pictures(files: dict[str, Path], tmp_path: Path) -> None:
    """Those of the bundle and those written anew for publishing: valid, without a warning."""
    needs("exiftool")
    with zipfile.ZipFile(files["bundle"]) as archive:
        archive.extractall(tmp_path / "whole")
    told = output_of("exiftool", "-q", "-q", "-r", "-validate", "-warning", "-error", "-a",
                     tmp_path / "whole" / "photos")  # fmt: skip

    assert "Warning" not in told.replace("Validate", "")
    assert told.count("OK") == 4


@pytest.fixture
def published(notebook: Notebook, tmp_path: Path) -> tuple[Content, Content]:
    """The demo as it is, and as it would be published with a home at its first stop."""
    workspace = tmp_path / "bare"
    workspace.mkdir()
    content, stop = content_of(notebook), notebook.all(Stop)[0]
    assert stop.lat_deg is not None
    assert stop.lon_deg is not None
    home = HomePlace(lat_deg=stop.lat_deg, lon_deg=stop.lon_deg, radius_m=100.0)
    return content, hidden(content, Privacy(home_places=(home,), salt="s"), workspace)


def traces(rows: list[Row]) -> set[bytes]:
    """All that would give a place, a minute, a bearing or a phone away, as files may hold it."""
    found: set[str] = set()
    numbers: set[float] = set()
    for row in rows:
        if isinstance(row, Stop | Photo) and row.lat_deg is not None:
            numbers |= {row.lat_deg, row.lon_deg}  # type: ignore[arg-type]
        if isinstance(row, Stop):
            found.add(row.place_text)
        if isinstance(row, Sighting):
            numbers |= {row.bearing_deg, row.raw_bearing_deg} - {None}  # type: ignore[arg-type]
        if isinstance(row, Device):
            found |= {row.id, row.label, row.system}
        if isinstance(row, Stop | Reading | SpeedRun) and row.time_utc.minute:
            found |= {f"T{row.time_utc:%H:%M}:", f"{row.time_utc:%H:%M:%S}"}
    exact = {number for number in numbers if number != round(number, 1)}
    found |= {repr(number) for number in exact}
    bits = (struct.pack(form, number) for number in exact for form in ("<d", ">d"))
    return {text.encode() for text in found if len(text) > len("15")} | set(bits)


def stands_in(secret: bytes, held: bytes) -> bool:
    """Whether it is there; a number that goes on with another digit is another number."""
    if re.fullmatch(rb"-?\d+\.\d+", secret):
        return re.search(re.escape(secret) + rb"(?!\d)", held) is not None
    return secret in held


@pytest.mark.parametrize("known", WRITTEN, ids=lambda known: known.key)
def test_nothing_hidden_of_the_demo_is_in_any_byte(
    known: object, published: tuple[Content, Content], tmp_path: Path
) -> None:
    """Each stop's place, street and minute, each bearing and each phone is looked for."""
    secrets = traces(list(published[0].rows))
    found = []
    for content in published:
        path = tmp_path / f"out{known.suffixes[0]}"  # type: ignore[attr-defined]
        known.write(content, path)  # type: ignore[attr-defined]
        held = path.read_bytes()
        if zipfile.is_zipfile(path):
            with zipfile.ZipFile(path) as archive:
                held = b"".join(chain([held], map(archive.read, archive.namelist())))
        found.append({secret for secret in secrets if stands_in(secret, held)})

    assert found[1] == set()
    assert len(found[0]) > 30
