"""Files that are damaged, hostile or simply not what their name says."""

from __future__ import annotations

import gzip
import random
import sys
import tracemalloc
from pathlib import Path

import pytest

from surveyapp.errors import FormatError, MissingPackage
from surveyapp.exchange import formats, osm_xml
from surveyapp.exchange.formats import read_ground, read_ground_with_report
from surveyapp.resources import shipped

HELSINKI = shipped("sample_surveys", "helsinki_centre.osm.pbf")
QUARTER = shipped("sample_surveys", "quarter.osm.gz")
BOMB = """<?xml version="1.0"?><!DOCTYPE osm [<!ENTITY a "aaaaaaaaaa">
<!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>
<osm version="0.6"><node id="1" lat="60" lon="24"><tag k="name" v="&c;"/></node></osm>"""
OUTSIDE = """<!DOCTYPE osm SYSTEM "file:///etc/hostname"><osm version="0.6"/>"""


def refusal(path: Path) -> FormatError:
    """The one-sentence refusal of a file."""
    with pytest.raises(FormatError) as caught:
        read_ground(path)
    assert caught.value.path == str(path)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)
    return caught.value


@pytest.mark.parametrize("name", ["a.osm.pbf", "a.osm", "a.osm.gz", "a.geojson"])
@pytest.mark.parametrize(
    ("content", "says"),
    [(b"", "is empty"), (b"Mill Street, 12 m, seen from the bridge\n" * 9, "")],
)
def test_an_empty_file_and_plain_text_are_refused(
    tmp_path: Path, name: str, content: bytes, says: str
) -> None:
    """Whatever the name promises, the content decides."""
    path = tmp_path / name
    path.write_bytes(content)

    assert says in str(refusal(path))


@pytest.mark.parametrize("share", [0.001, 0.3, 0.7, 0.999])
def test_a_pbf_cut_short_is_refused(tmp_path: Path, share: float) -> None:
    """A download that broke off brings nothing in rather than half a town."""
    path = tmp_path / "cut.osm.pbf"
    whole = HELSINKI.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])

    assert "fetch the extract again" in str(refusal(path))


def test_a_pbf_with_flipped_bytes_never_crashes(tmp_path: Path) -> None:
    """Each damaged copy is either refused in a sentence or read; nothing else escapes."""
    whole = HELSINKI.read_bytes()
    chance = random.Random(7)
    path = tmp_path / "damaged.osm.pbf"
    refused = 0
    for _ in range(25):
        damaged = bytearray(whole)
        for _ in range(chance.choice([1, 20])):
            damaged[chance.randrange(len(damaged))] ^= 1 << chance.randrange(8)
        path.write_bytes(damaged)
        try:
            read_ground(path)
        except FormatError:
            refused += 1

    assert refused > 10


@pytest.mark.parametrize("share", [0.01, 0.5, 0.999])
def test_xml_cut_short_is_refused_with_its_line(tmp_path: Path, share: float) -> None:
    """The message says where the document ends."""
    path = tmp_path / "cut.osm"
    whole = gzip.decompress(QUARTER.read_bytes())
    path.write_bytes(whole[: int(len(whole) * share)])

    assert refusal(path).place.startswith("line ")


def test_a_gzip_cut_short_or_damaged_is_refused(tmp_path: Path) -> None:
    """Packed XML is proved by its checksum."""
    path = tmp_path / "cut.osm.gz"
    whole = QUARTER.read_bytes()
    for content in (whole[: len(whole) // 2], whole[:500] + b"\xff" * 60 + whole[560:]):
        path.write_bytes(content)

        assert "cannot be" in str(refusal(path)) or "no complete XML" in str(refusal(path))


@pytest.mark.parametrize("document", [BOMB, OUTSIDE])
def test_a_document_that_declares_entities_is_not_read(tmp_path: Path, document: str) -> None:
    """Neither an entity bomb nor a reference to a file of this machine is followed."""
    path = tmp_path / "bomb.osm"
    path.write_text(document)

    assert "declares a document type or entities" in str(refusal(path))


def test_a_small_file_that_unpacks_to_a_huge_one_is_stopped(tmp_path: Path) -> None:
    """200 MB of blanks in a small gzip are refused at the limit, in bounded memory."""
    path = tmp_path / "bomb.osm.gz"
    with gzip.open(path, "wb", compresslevel=9) as file:
        file.write(b"<osm>")
        for _ in range(200):
            file.write(b" " * 1_000_000)
    tracemalloc.start()

    message = str(refusal(path))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()

    assert "holds more than 64 MB" in message
    assert peak < 100_000_000


@pytest.mark.parametrize(
    ("document", "says"),
    [
        ("<gpx/>", "begins with gpx, not osm"),
        ("<osm>" + "<a>" * 5000 + "</a>" * 5000 + "</osm>", "too deep or too large"),
        ("<osm><way id='1'>" + "<nd ref='1'/>" * 100_001 + "</way></osm>", "too large"),
        ("<osm><node id='1' lat='60' lon='24'/></osm>", "holds no street"),
        ("<?xml version='1.0' encoding='klingon'?><osm/>", "encoding"),
    ],
)
def test_other_xml_is_refused(tmp_path: Path, document: str, says: str) -> None:
    """Another dialect, absurd nesting, and a file with nothing in it each have their words."""
    path = tmp_path / "other.osm"
    path.write_text(document)

    assert says in str(refusal(path))


def test_broken_objects_of_xml_are_skipped_and_counted(tmp_path: Path) -> None:
    """Positions off the Earth or no number, one-point streets and two-point houses."""
    path = tmp_path / "broken.osm"
    path.write_text(
        """<osm version="0.6">
        <node id="1" lat="60.1" lon="24.1"/><node id="2" lat="60.2" lon="24.2"/>
        <node id="3" lat="95" lon="24"/><node id="4" lat="nan" lon="24"/>
        <node id="5" lat="60,3" lon="24"/><node id="six" lat="60" lon="24"/>
        <node id="7" action="delete" lat="60" lon="24"><tag k="natural" v="tree"/></node>
        <way id="1"><nd ref="1"/><nd ref="2"/><tag k="highway" v="path"/></way>
        <way id="2"><nd ref="1"/><tag k="highway" v="path"/></way>
        <way id="3"><nd ref="1"/><nd ref="2"/><nd ref="1"/><tag k="building" v="yes"/></way>
        <way id="4"><nd ref="1"/><nd ref="2"/><nd ref="3"/><tag k="highway" v="path"/></way>
        <way id="5"><tag k="building" v="yes"/></way>
        <relation id="1"><member type="way" ref="99" role="outer"/>
          <tag k="type" v="multipolygon"/><tag k="building" v="yes"/></relation>
        </osm>"""
    )

    read = read_ground_with_report(path)

    assert len(read.ground.streets) == 2
    assert not read.ground.buildings
    assert not read.ground.furniture
    assert read.skipped == (
        "3 points lie outside latitude -90 to 90 and longitude -180 to 180",
        "1 street has fewer than two points",
        "2 buildings have no closed outline of three corners or more within the file",
        "1 street was kept only as far as the file holds its points",
    )


@pytest.mark.parametrize("name", ["town.osm.pbf", "town.osm", "town.geojson"])
def test_a_missing_file_and_a_folder_are_told_plainly(tmp_path: Path, name: str) -> None:
    """The system's own reason is given, not a traceback."""
    path = tmp_path / name
    assert "No such file" in str(refusal(path))
    path.mkdir()

    assert "directory" in str(refusal(path))


def test_an_unknown_kind_of_file_is_refused_with_what_would_do(tmp_path: Path) -> None:
    """The sentence lists each suffix of the table."""
    message = str(refusal(tmp_path / "town.shp"))

    assert all(known.suffixes[0] in message for known in formats.GROUND_FORMATS)


def test_without_osmium_a_pbf_names_the_package_and_xml_still_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A phone has no osmium: the demo's quarter is read all the same."""
    monkeypatch.setitem(sys.modules, "osmium", None)

    with pytest.raises(MissingPackage, match=r"pip install 'surveyapp\[desk\]'"):
        read_ground(HELSINKI)
    assert read_ground(QUARTER).streets


def test_a_ground_beyond_any_survey_is_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The count of points is bounded, so a country's extract cannot fill the memory."""
    monkeypatch.setattr("surveyapp.exchange.ground.MOST_POINTS", 1000)
    path = tmp_path / "large.osm"
    path.write_bytes(gzip.decompress(QUARTER.read_bytes()))

    assert "more than 1,000 points" in str(refusal(path))
    monkeypatch.setattr(osm_xml, "MOST_BYTES", 1000)
    assert "cut it to the area you survey" in str(refusal(path))
