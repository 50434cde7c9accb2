"""Leads out of tables and maps: good rows kept, bad rows named, hostile files refused."""

from __future__ import annotations

import json
from pathlib import Path

import gpxpy.gpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import FormatError
from surveyapp.exchange.formats import LEAD_FORMATS, read_leads
from surveyapp.exchange.leads import LeadRow, new_leads
from surveyapp.model import PositionFrom, Site, SiteKind, SiteStatus

TENTH_OF_A_METRE_DEG = 1e-6
GOOD = (("Lamp at the bridge", 60.17051, 24.94012), ("Wall, grey box", 60.1688, 24.9431))


def written(folder: Path, name: str, text: str) -> Path:
    """A file with this text."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def as_csv(folder: Path) -> Path:
    """The two good leads as a table."""
    rows = "\n".join(f'"{name}",{lat},{lon}' for name, lat, lon in GOOD)
    return written(folder, "leads.csv", f"name,lat,lon\n{rows}\n")


def as_geojson(folder: Path) -> Path:
    """The same as GeoJSON points."""
    features = [
        {
            "type": "Feature", "properties": {"name": name},
            "geometry": {"type": "Point", "coordinates": [lon, lat]},
        }
        for name, lat, lon in GOOD
    ]  # fmt: skip
    document = {"type": "FeatureCollection", "features": features}
    return written(folder, "leads.geojson", json.dumps(document))


def as_gpx(folder: Path) -> Path:
    """The same as waypoints, written by gpxpy."""
    document = gpxpy.gpx.GPX()
    document.waypoints += [gpxpy.gpx.GPXWaypoint(lat, lon, name=name) for name, lat, lon in GOOD]
    return written(folder, "leads.gpx", document.to_xml())


def as_kml(folder: Path) -> Path:
    """The same as placemarks (OGC 07-147r2), one of them in a folder."""
    marks = [
        f"<Placemark><name>{name}</name><Point><coordinates>{lon},{lat},0</coordinates></Point>"
        "</Placemark>"
        for name, lat, lon in GOOD
    ]
    body = f"<Document>{marks[0]}<Folder>{marks[1]}</Folder></Document>"
    return written(folder, "leads.kml", f'<kml xmlns="http://www.opengis.net/kml/2.2">{body}</kml>')


MAKERS = (as_csv, as_geojson, as_gpx, as_kml)


@pytest.mark.parametrize("make", MAKERS, ids=lambda make: make.__name__)
def test_every_format_brings_the_same_leads(tmp_path: Path, make: object) -> None:
    """Names and places as written; each is a lead out of a record."""
    assert callable(make)
    found = read_leads(make(tmp_path))

    assert [lead.name for lead in found.leads] == [name for name, _, _ in GOOD]
    for lead, (_, lat_deg, lon_deg) in zip(found.leads, GOOD, strict=True):
        assert lead.lat_deg == pytest.approx(lat_deg, abs=TENTH_OF_A_METRE_DEG)
        assert lead.lon_deg == pytest.approx(lon_deg, abs=TENTH_OF_A_METRE_DEG)
    assert {s.status for s in found.leads} == {SiteStatus.LEAD}
    assert {s.position_from for s in found.leads} == {PositionFrom.RECORD}
    assert found.problems == ()


def test_every_format_of_the_table_is_tried_here() -> None:
    """A format added to the table needs a maker in this file."""
    assert len(LEAD_FORMATS) == len(MAKERS)


def test_the_same_lead_has_the_same_id_from_any_format(tmp_path: Path) -> None:
    """So that a table and a map of the same sites do not double them."""
    ids = [[lead.id for lead in read_leads(make(tmp_path)).leads] for make in MAKERS]

    assert all(one == ids[0] for one in ids)


@pytest.mark.parametrize(
    "text",
    [
        "Name;Lat;Lon\nBridge;60,1705;24,9401\n",
        "Name\tLatitude\tLongitude\r\nBridge\t60,1705\t24,9401\r\n",
        'name,lat,lon\nBridge,"60,1705","24,9401"\n',
        "name,position\nBridge,60.1705 24.9401\n",
        "\ufefflon,lat,title\n24.9401,60.1705,Bridge\n",
    ],
)
def test_tables_are_read_with_either_decimal_mark(tmp_path: Path, text: str) -> None:
    """Semicolons, tabs, quotes, a byte order mark, columns in any order."""
    (lead,) = read_leads(written(tmp_path, "leads.csv", text)).leads

    assert lead.name == "Bridge"
    assert (lead.lat_deg, lead.lon_deg) == (60.1705, 24.9401)


def test_tables_and_maps_are_read_in_degrees_minutes_and_seconds() -> None:
    """Flinders Peak as the Geocentric Datum of Australia technical manual has it (from memory),
    in two columns and in one, and the place of a geo: URI."""
    lat, lon = "37°57'03.72030\"S", "144°25'29.52440\"E"
    for row in (LeadRow(lat=lat, lon=lon), LeadRow(position=f"{lat} {lon}"),
                LeadRow(position="geo:-37.951033417,144.424867889;u=5")):  # fmt: skip
        lead = row.site("Peak")

        assert lead.lat_deg == pytest.approx(-37.951033417, abs=TENTH_OF_A_METRE_DEG)
        assert lead.lon_deg == pytest.approx(144.424867889, abs=TENTH_OF_A_METRE_DEG)


def test_all_that_a_table_tells_is_kept(tmp_path: Path) -> None:
    """Operator, kind, height and note; a kind we do not know goes into the note."""
    text = (
        "name,lat,lon,operator,kind,height_m,note\n"
        "A,60.1,24.9,Heron (invented),Lamp Post,7.5,two panels\n"
        "B,60.1,24.8,,kiosk,,\n"
    )
    first, second = read_leads(written(tmp_path, "leads.csv", text)).leads

    assert (first.operator, first.kind, first.height_m, first.text) == (
        "Heron (invented)", SiteKind.LAMP_POST, 7.5, "two panels",
    )  # fmt: skip
    assert (second.kind, second.text) == (SiteKind.OTHER, "Kind: kiosk.")


def test_bad_rows_are_listed_by_place_and_good_ones_kept(tmp_path: Path) -> None:
    """Seven rows, two of them good; line numbers count lines of the file, quoted breaks too."""
    text = (
        "name,lat,lon,height\n"
        'A,60.1,24.9,"8"\n'
        "B,north,24.9,\n"
        "C,91,24.9,\n"
        '"D\nover two lines",60.1,,\n'
        "A,60.1,24.9,\n"
        "E,60.2,24.9,tall\n"
        "F,60.3,nan,\n"
        ",60.4,24.9,\n"
    )
    found = read_leads(written(tmp_path, "leads.csv", text))

    assert [lead.name for lead in found.leads] == ["A", "Lead 8"]
    assert [problem.place for problem in found.problems] == [
        "line 3", "line 4", "line 6", "line 7", "line 8", "line 9",
    ]  # fmt: skip
    assert "repeats line 2" in str(found.problems[3])
    assert "height 'tall'" in str(found.problems[4])


def test_lines_areas_and_odd_points_of_a_map_are_listed(tmp_path: Path) -> None:
    """GeoJSON: what is no point, has no position, or holds a text for a number."""
    geometries = [
        {"type": "Point", "coordinates": [24.9, 60.1]},
        {"type": "LineString", "coordinates": [[24.9, 60.1], [24.8, 60.1]]},
        None,
        {"type": "Point", "coordinates": ["24.9", "60.1"]},
        {"type": "Point", "coordinates": [60.1, 124.9]},
    ]
    features = [{"type": "Feature", "properties": None, "geometry": one} for one in geometries]
    document = {"type": "FeatureCollection", "features": [*features, "odd"]}
    found = read_leads(written(tmp_path, "a.geojson", json.dumps(document)))

    assert len(found.leads) == 1
    assert [problem.place for problem in found.problems] == [f"feature {n}" for n in range(2, 7)]


def test_a_placemark_that_is_no_point_is_listed_by_its_name(tmp_path: Path) -> None:
    """KML: a line, and coordinates of one number."""
    text = (
        "<kml><Placemark><name>Way</name><LineString><coordinates>1,2 3,4</coordinates>"
        "</LineString></Placemark><Placemark><Point><coordinates>24.9</coordinates></Point>"
        "</Placemark></kml>"
    )
    found = read_leads(written(tmp_path, "a.kml", text))

    assert [problem.place for problem in found.problems] == ["placemark 1 'Way'", "placemark 2"]
    assert found.leads == ()


BOMB = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("a.csv", "", "is empty"),
        ("a.csv", "name,where\nA,there\n", "columns of positions"),
        ("a.csv", "name,lat,lon\n", "holds no lead"),
        ("a.json", "{", "no valid JSON"),
        ("a.json", '{"type": "Topology"}', "does not know"),
        ("a.gpx", "<gpx><wpt", "well-formed"),
        ("a.gpx", "<kml/>", "no GPX"),
        ("a.gpx", f"{BOMB}<gpx><wpt lat='60' lon='24'><name>&b;</name></wpt></gpx>", "entities"),
        ("a.kml", f"{BOMB}<kml/>", "entities"),
        ("a.kml", "<kml><Document/></kml>", "holds no lead"),
        ("a.xlsx", "PK", "one of .csv"),
    ],
)
def test_what_is_no_file_of_leads_is_one_sentence(
    tmp_path: Path, name: str, text: str, says: str
) -> None:
    """Empty, cut short, hostile, or something else: the path and the reason."""
    path = written(tmp_path, name, text)

    with pytest.raises(FormatError, match=says) as caught:
        read_leads(path)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)


def test_a_missing_file_and_another_encoding_are_told(tmp_path: Path) -> None:
    """No such file; a table in UTF-16."""
    with pytest.raises(FormatError, match="cannot be read"):
        read_leads(tmp_path / "none.csv")
    path = tmp_path / "wide.csv"
    path.write_bytes("name,lat,lon\nA,60,24\n".encode("utf-16"))
    with pytest.raises(FormatError, match="UTF-8"):
        read_leads(path)


def test_a_site_known_by_name_and_place_is_no_new_lead() -> None:
    """Within 20 m the same name is the same site, farther off it is another."""
    lead = LeadRow(lat="60.17", lon="24.94", name="Node 1").site("")
    near = Site(name="node 1", lat_deg=60.1701, lon_deg=24.94, status=SiteStatus.LIVE)
    far = Site(name="Node 1", lat_deg=60.171, lon_deg=24.94)

    assert new_leads([lead], [near]) == ([], [lead])
    assert new_leads([lead], [far]) == ([lead], [])
    assert new_leads([lead], [lead]) == ([], [lead])


@given(
    st.lists(
        st.tuples(
            st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=20),
            st.floats(-90, 90), st.floats(-180, 180),
        ),
        min_size=1, max_size=8, unique_by=lambda row: (round(row[1], 5), round(row[2], 5)),
    )
)  # fmt: skip
def test_any_names_and_places_come_through_a_table(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, float, float]]
) -> None:
    """Generated names, quoted as RFC 4180 says, at any place on Earth."""
    body = "".join(
        '"{}";{:.7f};{:.7f}\n'.format(name.replace('"', '""'), lat, lon).replace(".", ",")
        if "." not in name and "," not in name
        else '"{}";{:.7f};{:.7f}\n'.format(name.replace('"', '""'), lat, lon)
        for name, lat, lon in rows
    )
    found = read_leads(written(tmp_path_factory.mktemp("leads"), "a.csv", f"name;lat;lon\n{body}"))

    assert not found.problems
    assert [lead.lat_deg for lead in found.leads] == [
        pytest.approx(lat, abs=1e-7) for _, lat, _ in rows
    ]
