"""Files made to harm: each is refused in one sentence, in bounded memory and time.

The forms of attack are those that OWASP's file upload and XML cheat sheets and CWE-409 (highly
compressed data), CWE-407 (complexity) and CWE-674 (recursion) name; from memory.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import time
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from surveyapp.errors import FormatError
from surveyapp.exchange import content, ground, survey_csv, xml_text
from surveyapp.exchange.archive import MANIFEST, MOST_PRESSED, SMALL_BYTES
from surveyapp.exchange.formats import read_ground, read_leads, read_survey
from surveyapp.exchange.osm_outlines import building_outline
from surveyapp.exchange.rings import join_rings

ROWS = "rows/survey.jsonl"
ENDLESS = "WITH RECURSIVE c(id) AS (SELECT 1 UNION ALL SELECT id + 1 FROM c) SELECT id FROM c"


def bundle(path: Path, held: bytes, **told: object) -> Path:
    """A bundle of one file of rows, its manifest's line changed by `told`."""
    line = {"name": ROWS, "bytes": len(held), "sha256": hashlib.sha256(held).hexdigest()} | told
    lines = [line] * int(str(told.get("times", 1)))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        manifest = {"bundle": "survey bundle", "version": 1, "files": lines}
        archive.writestr(MANIFEST, json.dumps(manifest))
        archive.writestr(ROWS, held)
    return path


def geopackage(path: Path, sql: str) -> Path:
    """A database with a table of contents and whatever `sql` makes."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript(f"CREATE TABLE gpkg_contents (table_name TEXT); {sql}")
    return path


@pytest.mark.parametrize(
    ("told", "what"),
    [
        ({"bytes": -5}, "size below nothing"),
        ({"times": 2}, "lists a file twice"),
    ],
)
def test_a_manifest_that_lies_is_refused_before_anything_is_unpacked(
    tmp_path: Path, told: dict[str, object], what: str
) -> None:
    """A size of -5 bytes once unpacked a whole bomb into memory; a file listed 80,000 times was
    read as often."""
    with pytest.raises(FormatError, match=what):
        read_survey(bundle(tmp_path / "b.zip", b"{}\n", **told), tmp_path)


def test_a_small_zip_that_would_fill_the_memory_is_refused(tmp_path: Path) -> None:
    """A zip of some kilobytes once gave ten million lines, each listed as a bad row."""
    path = bundle(tmp_path / "b.zip", b"1\n" * (SMALL_BYTES // 2 + MOST_PRESSED * 15_000))
    assert path.stat().st_size < 30_000
    with pytest.raises(FormatError, match="far more than it can hold"):
        read_survey(path, tmp_path)


def many_features(path: Path) -> None:
    """A row of a survey, then 60 features that are none."""
    row = {"type": "Feature", "geometry": None, "properties": {"row": "survey"}}
    features = [row, *[0] * 60]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def many_placemarks(path: Path) -> None:
    """A row of a survey, then 60 placemarks that are none."""
    told = '<ExtendedData><Data name="row"><value>survey</value></Data></ExtendedData>'
    marks = f"<Placemark>{told}</Placemark>" + "<Placemark/>" * 60
    path.write_text(f"<kml>{marks}</kml>")


@pytest.mark.parametrize(
    ("name", "write"),
    [
        ("a.geojson", many_features),
        ("a.kml", many_placemarks),
        ("a.nmea", lambda path: path.write_text("$\n" * 60)),
        ("a.csv", lambda path: path.write_text("row,id\n" + "x,\n" * 60)),
        ("a.zip", lambda path: bundle(path, b"1\n" * 60)),
        (
            "a.gpkg",
            lambda path: geopackage(
                path,
                "INSERT INTO gpkg_contents VALUES ('survey'); CREATE TABLE survey (id TEXT); "
                f"INSERT INTO survey {ENDLESS} LIMIT 60;",
            ),
        ),
    ],
)
def test_bad_rows_without_end_are_not_all_listed(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    write: Callable[[Path], object],
) -> None:
    """Millions of bad rows once filled the memory with their complaints, in each format."""
    monkeypatch.setattr(content, "MOST_TROUBLES", 50)
    path = tmp_path / name
    write(path)
    with pytest.raises(FormatError, match="holds more than 50 rows that cannot be read"):
        read_survey(path, tmp_path)


@pytest.mark.parametrize("name", ["a.geojson", "a.kml"])
def test_rows_that_are_no_leads_are_not_all_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """A map of a million areas once listed a million refusals."""
    monkeypatch.setattr(content, "MOST_TROUBLES", 50)
    path = tmp_path / name
    if name == "a.kml":
        path.write_text("<kml>" + "<Placemark/>" * 60 + "</kml>")
    else:
        path.write_text(json.dumps({"type": "FeatureCollection", "features": [0] * 60}))
    with pytest.raises(FormatError, match="holds more than 50 rows that cannot be read"):
        read_leads(path)


def test_what_is_wrong_with_a_row_is_told_in_short(tmp_path: Path) -> None:
    """A row of a quarter of a million broken carriers once gave a complaint of megabytes."""
    line = json.dumps({"stop_id": "a", "carriers": [{}] * 5_000}).encode() + b"\n"
    path = tmp_path / "b.zip"
    bundle(path, line)
    with zipfile.ZipFile(path) as archive:
        manifest = archive.read(MANIFEST).replace(b"rows/survey", b"rows/reading")
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(MANIFEST, manifest)
        archive.writestr("rows/reading.jsonl", line)
    brought = read_survey(path, tmp_path)
    assert len(brought.troubles) == 1
    assert len(str(brought.troubles[0])) < 2 * content.LONGEST_TROUBLE


@pytest.mark.parametrize(
    ("member", "what"),
    [
        ('"rain_mm_h": 1' + "0" * 400, "must be a finite number"),
        ('"weather": "dry", "created_utc": "0001-01-01T00:00:00+12:00"', "outside the years"),
    ],
)
def test_a_value_beyond_all_bounds_is_that_rows_trouble(
    tmp_path: Path, member: str, what: str
) -> None:
    """A number of 401 digits, and a time before the year 1, once ended the command."""
    path = tmp_path / "a.geojson"
    feature = f'{{"type": "Feature", "properties": {{"row": "survey", {member}}}}}'
    path.write_text(f'{{"type": "FeatureCollection", "features": [{feature}]}}')
    (trouble,) = read_survey(path, tmp_path).troubles
    assert what in str(trouble)


@pytest.mark.parametrize(
    ("position", "name", "what"),
    [
        (f"[1{'0' * 400}, 5]", "Mast", "feature 1"),
        ("[1, 5]", "\\ud800", "holds characters that are no text"),
    ],
)
def test_a_lead_no_notebook_could_hold_is_that_rows_trouble(
    tmp_path: Path, position: str, name: str, what: str
) -> None:
    """A longitude of 401 digits, and half a surrogate pair in a name, once ended the command."""
    path = tmp_path / "a.geojson"
    path.write_text(
        f'{{"type": "Feature", "properties": {{"name": "{name}"}}, '
        f'"geometry": {{"type": "Point", "coordinates": {position}}}}}'
    )
    (problem,) = read_leads(path).problems
    assert what in str(problem)


@pytest.mark.parametrize(
    "sql",
    [
        f"INSERT INTO gpkg_contents VALUES ('survey'); CREATE VIEW survey AS {ENDLESS};",
        "INSERT INTO gpkg_contents VALUES ('survey'); "
        f"CREATE VIEW survey AS {ENDLESS} WHERE id < 0;",
        "DROP TABLE gpkg_contents; "
        f"CREATE VIEW gpkg_contents AS SELECT 'x' || id AS table_name FROM ({ENDLESS});",
        "INSERT INTO gpkg_contents VALUES ('survey'); CREATE TABLE survey (id TEXT, title TEXT "
        "GENERATED ALWAYS AS (hex(zeroblob(40000000))) VIRTUAL); INSERT INTO survey VALUES ('a');",
        "INSERT INTO gpkg_contents VALUES ('survey'); "
        "CREATE VIRTUAL TABLE survey USING rtree (id, a, b);",
    ],
    ids=["endless view", "silent view", "endless contents", "swelling column", "virtual table"],
)
def test_a_geopackage_that_computes_instead_of_holding_is_refused(tmp_path: Path, sql: str) -> None:
    """A view once gave rows without end, or computed for ever without giving one."""
    with pytest.raises(FormatError):
        read_survey(geopackage(tmp_path / "a.gpkg", sql), tmp_path)


def test_sql_in_the_texts_of_a_geopackage_stays_text(tmp_path: Path) -> None:
    """A title or a table's name that reads like SQL is kept, or passed over, as it is."""
    evil = "x'); DROP TABLE survey; --"
    path = geopackage(
        tmp_path / "a.gpkg",
        "INSERT INTO gpkg_contents VALUES ('survey'), ('x\"; DROP TABLE survey; --'); "
        "CREATE TABLE survey (id TEXT, title TEXT, time_zone TEXT); "
        "INSERT INTO survey VALUES ('a', 'x''); DROP TABLE survey; --', 'UTC');",
    )
    (row,) = read_survey(path, tmp_path).rows
    assert getattr(row, "title", None) == evil


def test_carriers_without_their_owner_are_left_out(tmp_path: Path) -> None:
    """A table of carriers without the column of their reading once ended the command."""
    path = geopackage(
        tmp_path / "a.gpkg",
        "INSERT INTO gpkg_contents VALUES ('reading'), ('reading_carriers'); "
        "CREATE TABLE reading (id TEXT); INSERT INTO reading VALUES ('a'); "
        "CREATE TABLE reading_carriers (place INTEGER); INSERT INTO reading_carriers VALUES (1);",
    )
    assert len(read_survey(path, tmp_path).troubles) == 1


def test_a_table_too_large_to_be_one_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table of two gigabytes in one line, or of three million short ones, filled the memory."""
    path = tmp_path / "a.csv"
    path.write_text("row,id\n" + "x,\n" * 60)
    monkeypatch.setattr(survey_csv, "MOST_LINES", 50)
    with pytest.raises(FormatError, match="more than 50 lines"):
        read_survey(path, tmp_path)
    monkeypatch.setattr(survey_csv, "MOST_BYTES", 100)
    with pytest.raises(FormatError, match="is larger than"):
        read_survey(path, tmp_path)


def test_a_document_of_empty_elements_without_end_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twelve million empty elements in 48 MB once took gigabytes of memory."""
    monkeypatch.setattr(xml_text, "MOST_MARKS", 50)
    path = tmp_path / "a.gpx"
    path.write_text("<gpx>" + "<a/>" * 60 + "</gpx>")
    with pytest.raises(FormatError, match="more elements than can be read"):
        read_survey(path, tmp_path)


def test_courtyards_and_parts_without_end_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A house of 100,000 courtyards, or 15,000 parts over 15,000 houses, once took hours."""
    monkeypatch.setattr(ground, "MOST_COMPARED", 1_000)
    ring = [[0.0, 0.0], [0.0, 1.0], [1.0, 1.0], [1.0, 0.0], [0.0, 0.0]]
    path = tmp_path / "a.geojson"
    path.write_text(json.dumps({"type": "Polygon", "coordinates": [ring] * 300}))
    with pytest.raises(FormatError, match="lie over each other without end"):
        read_ground(path)
    house = {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [ring]}}
    parts = [
        house | {"properties": tags}
        for tags in ({"building": "yes"}, {"building:part": "yes", "min_height": 3}) * 30
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": parts}))
    with pytest.raises(FormatError, match="lie over each other without end"):
        read_ground(path)


def test_a_way_named_many_times_counts_once(tmp_path: Path) -> None:
    """A building that named one long way 90,000 times once copied its points as often."""
    tags = {"type": "multipolygon", "building": "yes"}
    outline = building_outline(tags, [(1, "outer")] * 90_000)
    assert outline is not None
    assert outline.outer_ids == (1,)


def test_points_are_counted_before_they_are_joined(monkeypatch: pytest.MonkeyPatch) -> None:
    """Broken outlines count towards the limit too, for they cost as much."""
    monkeypatch.setattr(ground, "MOST_POINTS", 100)
    builder = ground.GroundBuilder("a.osm")
    with pytest.raises(FormatError, match="more than 100 points"):
        builder.add_area({"building": "yes"}, [[(1.0, float(n)) for n in range(101)]])


def test_many_lines_that_meet_in_one_point_are_joined_at_once() -> None:
    """Of 40,000 lines that end in one corner each was once held against all used up before."""
    lines = [[(1.0, float(number)), (0.0, 0.0)] for number in range(40_000)]
    begun = time.process_time()
    rings, left_over = join_rings(lines)
    assert time.process_time() - begun < 3.0
    assert (len(rings), left_over) == (0, 40_000)
