"""Every format of the table: what it carries comes back, and others can read it."""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveyapp.errors import FormatError, InvalidValue
from surveyapp.exchange.content import Content
from surveyapp.exchange.formats import SURVEY_FORMATS, SurveyFormat, read_survey, survey_format
from surveyapp.exchange.plain_rows import ROW_KINDS, from_plain, to_plain
from surveyapp.model import Photo, Remark, Row, Sector, Site, Stop, Survey
from surveyapp.store.rows import KINDS
from tests.exchange.survey_contents import one_of_each
from tests.store.one_of_each import ROWS
from tests.store.test_round_trip import OF_KIND, changed
from tests.third_party import needs, output_of

WRITTEN = [known for known in SURVEY_FORMATS if known.write is not None]
CARRIED: dict[str, set[type[Row]]] = {
    "bundle": set(KINDS),
    "geojson": set(KINDS) - {Photo},
    "gpkg": set(KINDS) - {Photo},
    "csv": set(KINDS) - {Photo},
    "gpx": {Survey, Site, Stop},
    "kml": {Survey, Site, Sector, Stop},
}
GENERATED = settings(
    max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def key_of(known: SurveyFormat) -> str:
    """For test ids."""
    return known.key


def write(known: SurveyFormat, content: Content, folder: Path) -> Path:
    """The content in this format."""
    path = folder / f"survey{known.suffixes[0]}"
    assert known.write is not None
    known.write(content, path)
    return path


def test_the_formats_know_every_kind_the_notebook_keeps() -> None:
    """A kind of row added to the model and the store is exchanged without another change."""
    assert set(ROW_KINDS.values()) == set(KINDS)


@pytest.mark.parametrize("known", WRITTEN, ids=key_of)
def test_what_a_format_carries_comes_back_whole(known: SurveyFormat, tmp_path: Path) -> None:
    """Each row of a carried kind comes back equal, from a file whose format is told by itself."""
    content = one_of_each(tmp_path)
    brought = read_survey(write(known, content, tmp_path), tmp_path)
    wanted = [row for row in content.rows if type(row) in CARRIED[known.key]]

    assert brought.troubles == ()
    assert sorted(brought.rows, key=str) == sorted(wanted, key=str)


@pytest.mark.parametrize(
    ("known", "kind"),
    [(known, kind) for known in WRITTEN if known.key != "kml" for kind in KINDS
     if kind in CARRIED[known.key]],
    ids=lambda value: value.key if isinstance(value, SurveyFormat) else value.__name__,
)  # fmt: skip
def test_generated_rows_come_back_equal(
    known: SurveyFormat, kind: type[Row], tmp_path: Path
) -> None:
    """Whatever was typed comes back to its last digit and character, where it is carried (KML
    replaces the control characters that XML cannot hold)."""
    content = one_of_each(tmp_path)
    photo = next(iter(content.pictures))
    others = [row for row in content.rows if type(row) is not kind]

    @GENERATED
    @given(changed(OF_KIND[kind]))
    def round_trip(row: Row) -> None:
        if isinstance(row, Photo):
            row = replace(row, file=photo)
        given_content = replace(content, rows=[*others, row])
        brought = read_survey(write(known, given_content, tmp_path), tmp_path)

        assert brought.troubles == ()
        assert [found for found in brought.rows if found.id == row.id] == [row]

    round_trip()


@pytest.mark.parametrize("known", WRITTEN, ids=key_of)
def test_the_same_content_gives_the_same_bytes(known: SurveyFormat, tmp_path: Path) -> None:
    """No clock and no chance gets into a file."""
    content = one_of_each(tmp_path)
    first = write(known, content, tmp_path).read_bytes()

    assert write(known, content, tmp_path).read_bytes() == first


@pytest.mark.parametrize("known", WRITTEN, ids=key_of)
def test_nothing_is_left_behind_where_nothing_can_be_written(
    known: SurveyFormat, tmp_path: Path
) -> None:
    """A folder that is not there is refused in one sentence."""
    assert known.write is not None
    with pytest.raises(OSError, match="cannot be written"):
        known.write(one_of_each(tmp_path), tmp_path / "no" / "such" / "file")


@pytest.mark.parametrize("known", [one for one in SURVEY_FORMATS if one.read], ids=key_of)
@given(st.binary(max_size=300))
@GENERATED
def test_rubbish_is_refused(known: SurveyFormat, tmp_path: Path, rubbish: bytes) -> None:
    """Any bytes at all end in a sentence of ours or in rows, never in another error."""
    path = tmp_path / f"rubbish{known.suffixes[0]}"
    path.write_bytes(rubbish)
    with suppress(FormatError):
        brought = read_survey(path, tmp_path)

        assert brought.rows == ()


@pytest.mark.parametrize("layer", ["site", "stop", "photo"])
def test_gdal_reads_the_places_in_a_geopackage(layer: str, tmp_path: Path) -> None:
    """ogr2ogr turns our GeoPackage into GeoJSON with each coordinate to its last digit."""
    needs("ogr2ogr")
    path = write(survey_format("gpkg"), one_of_each(tmp_path), tmp_path)
    told = output_of(
        "ogr2ogr", "-f", "GeoJSON", "-lco", "COORDINATE_PRECISION=15", "/vsistdout/", path, layer
    )
    row = next(row for row in ROWS if type(row) is ROW_KINDS[layer])

    assert json.loads(told)["features"][0]["geometry"]["coordinates"] == [
        getattr(row, "lon_deg"),  # noqa: B009
        getattr(row, "lat_deg"),  # noqa: B009
    ]


@pytest.mark.parametrize("known", WRITTEN[1:], ids=key_of)
def test_gdal_opens_each_file_and_counts_its_rows(known: SurveyFormat, tmp_path: Path) -> None:
    """ogrinfo opens GeoJSON, GeoPackage, CSV, GPX and KML without a warning and finds as many."""
    needs("ogrinfo")
    content = one_of_each(tmp_path)
    told = output_of("ogrinfo", "-ro", "-al", "-so", write(known, content, tmp_path))
    counts = [int(line.split(":")[1]) for line in told.splitlines() if "Feature Count" in line]
    carriers = 4  # two of the sector, two of the reading
    wanted = {
        "geojson": len(ROWS), "gpkg": len(ROWS) + carriers, "csv": len(ROWS) - 2 + carriers,
        "gpx": 2, "kml": 4,
    }  # fmt: skip

    assert sum(counts) == wanted[known.key]


def test_gpsbabel_reads_our_waypoints(tmp_path: Path) -> None:
    """gpsbabel finds both waypoints with their coordinates and the stop's time."""
    needs("gpsbabel")
    path = write(survey_format("gpx"), one_of_each(tmp_path), tmp_path)
    told = output_of("gpsbabel", "-i", "gpx", "-f", path, "-o", "unicsv,utc=0", "-F", "-")

    assert '60.171000,24.941000,"Quay 4"' in told
    assert '60.170500,24.940500,"Stop 3"' in told
    assert "2026/05/04,12:00:00" in told


@pytest.mark.parametrize("key", ["gpx", "kml"])
def test_xmllint_finds_well_formed_xml(key: str, tmp_path: Path) -> None:
    """libxml2 has nothing to say about our XML, whatever the texts hold."""
    needs("xmllint")
    odd = [replace(row, name="<&>\x0b]]>\u2028") if isinstance(row, Site) else row for row in ROWS]
    path = write(survey_format(key), one_of_each(tmp_path, tuple(odd)), tmp_path)

    assert output_of("xmllint", "--noout", path) == ""


def test_a_map_program_shows_a_remark_and_never_runs_it(tmp_path: Path) -> None:
    """A description is HTML to whoever shows it (OGC KML 2.3, from memory): a remark's script or
    picture once went there as it was typed, and '$[id]' stood for a value."""
    evil = "<script>alert(1)</script><img src=x onerror=alert(1)> $[id] ]]>"
    rows = [replace(row, text=evil) if isinstance(row, Remark) else row for row in ROWS]
    rows = [replace(row, label=evil) if isinstance(row, Sector) else row for row in rows]
    path = write(survey_format("kml"), one_of_each(tmp_path, tuple(rows)), tmp_path)
    marks = [one for one in ElementTree.parse(path).iter() if one.tag.endswith("}Placemark")]
    shown = [one.findtext("{*}description") for one in marks]

    assert all(shown)
    assert any("&lt;script&gt;" in text for text in shown)
    assert not any("<" in text or "$[" in text for text in shown)


def test_a_format_that_cannot_be_written_is_refused_with_the_others() -> None:
    """A misspelt format is answered with those there are."""
    with pytest.raises(FormatError, match="bundle, geojson, gpkg, csv, gpx, kml"):
        survey_format("nmea")


def test_all_that_is_wrong_with_a_row_is_told() -> None:
    """Three faults are three problems, nested ones with their place."""
    held = to_plain(next(row for row in ROWS if isinstance(row, Sector)))
    held |= {"pci": 1.5, "azimuth_deg": "north", "carriers": [{"rat": "6G"}]}
    with pytest.raises(InvalidValue) as caught:
        from_plain(Sector, held)

    assert len(caught.value.problems) == 3
    assert any(
        problem.startswith("carriers 1: rat must be one of") for problem in caught.value.problems
    )
