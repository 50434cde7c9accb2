"""Real streets of Helsinki and of a suburb, counted against independent readings.

Oracles: GDAL's own OSM driver (ogrinfo), libosmium's area assembler, and plain passes over
all objects with osmium. Data (c) OpenStreetMap contributors, Open Database License 1.0.
"""

from __future__ import annotations

import gzip
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import osmium
import pytest

from surveyapp.exchange.formats import read_ground, read_ground_with_report
from surveyapp.exchange.ground import OSM_ATTRIBUTION, GroundRead
from surveyapp.model import FurnitureKind
from surveyapp.resources import shipped

HELSINKI = shipped("sample_surveys", "helsinki_centre.osm.pbf")
QUARTER = shipped("sample_surveys", "quarter.osm.gz")
SUBURB = Path(__file__).parent.parent / "authorities" / "suburb.osm.pbf"
one_unit_deg = 1e-7  # positions in PBF are whole ten-millionths of a degree


@pytest.fixture(scope="module")
def helsinki() -> GroundRead:
    """The Helsinki extract, read once."""
    return read_ground_with_report(HELSINKI)


@pytest.fixture(scope="module")
def outlines() -> list[tuple[dict[str, str], frozenset, frozenset]]:
    """Every building area as libosmium assembles it: tags, outer ring, courtyards."""

    class Areas(osmium.SimpleHandler):
        def __init__(self) -> None:
            super().__init__()
            self.found: list = []

        def area(self, area: osmium.osm.Area) -> None:
            tags = {tag.k: tag.v for tag in area.tags}
            if "building" in tags or "building:part" in tags:
                for outer in area.outer_rings():
                    holes = frozenset(
                        frozenset((n.lat, n.lon) for n in hole) for hole in area.inner_rings(outer)
                    )
                    ring = frozenset((n.lat, n.lon) for n in outer)
                    self.found.append((tags, ring, holes))

    areas = Areas()
    areas.apply_file(str(HELSINKI), locations=True)
    return areas.found


def gdal_count(path: Path, where: str) -> int:
    """Points of a PBF that meet an SQL condition, as GDAL's ogrinfo counts them."""
    done = subprocess.run(
        ["ogrinfo", "-q", str(path), "-dialect", "sqlite", "-sql",
         f"SELECT count(*) AS n FROM points WHERE {where}"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return int(done.stdout.rsplit("=", 1)[1])


@pytest.mark.skipif(shutil.which("ogrinfo") is None, reason="needs GDAL's ogrinfo")
@pytest.mark.parametrize(
    ("kind", "where"),
    [
        (FurnitureKind.LAMP, "highway='street_lamp'"),
        (FurnitureKind.SIGNAL, "highway='traffic_signals'"),
        (FurnitureKind.TREE, 'other_tags LIKE \'%"natural"=>"tree"%\''),
        (FurnitureKind.POLE, "man_made='utility_pole' AND coalesce(highway, '') <> 'street_lamp'"),
    ],
)
def test_furniture_counts_agree_with_gdal(
    helsinki: GroundRead, kind: FurnitureKind, where: str
) -> None:
    """Lamps, signals, trees and poles are as many as GDAL finds in the same file."""
    ours = sum(thing.kind is kind for thing in helsinki.ground.furniture)

    assert ours == gdal_count(HELSINKI, where)


def test_lamps_are_those_the_data_set_is_known_for(helsinki: GroundRead) -> None:
    """586 street lamps, as stated with the data set when it was handed over."""
    lamps = [thing for thing in helsinki.ground.furniture if thing.kind is FurnitureKind.LAMP]

    assert len(lamps) == 586


def test_each_outline_is_one_that_libosmium_assembles(helsinki: GroundRead, outlines: list) -> None:
    """No ring of ours is made up, and each courtyard is where libosmium has it."""
    whole = {(ring, holes) for _, ring, holes in outlines}
    rings = {ring for ring, _ in whole}
    ours = [
        (frozenset(b.outline_deg), frozenset(map(frozenset, b.holes_deg)))
        for b in helsinki.ground.buildings
    ]

    assert len(ours) > 500
    assert all(ring in rings for ring, _ in ours)
    # In one relation a courtyard touches its wall: libosmium refuses it, the plan can use it.
    assert sum(pair not in whole for pair in ours) <= 1


def test_outlines_left_out_are_canopies_hanging_parts_and_covered_outlines(
    helsinki: GroundRead, outlines: list
) -> None:
    """Whatever libosmium assembles and we lack has one of the stated reasons."""
    ours = {frozenset(b.outline_deg) for b in helsinki.ground.buildings}
    missing = [tags for tags, ring, _ in outlines if ring not in ours]
    reasons = Counter(
        "canopy or entrance"
        if tags.get("building") in {"roof", "entrance"}
        else "part"
        if "building:part" in tags
        else "outline told in parts"
        for tags in missing
    )

    assert reasons == {"canopy or entrance": 12, "part": 2, "outline told in parts": 2}


def test_streets_agree_with_a_plain_pass(helsinki: GroundRead) -> None:
    """Names and numbers of points per named street, from unfiltered objects of the file."""
    points: Counter[str] = Counter()
    for way in osmium.FileProcessor(str(HELSINKI)).with_locations():
        if way.is_way() and way.tags.get("highway") in {"residential", "primary", "secondary"}:
            held = [node for node in way.nodes if node.location.valid()]
            if way.tags.get("tunnel") is None and len(held) == len(way.nodes):
                points[way.tags.get("name", "")] += len(held)
    ours: Counter[str] = Counter()
    for street in helsinki.ground.streets:
        if street.kind in {"residential", "primary", "secondary"}:
            ours[street.name] += len(street.points_deg)

    assert "Mannerheimintie" in points
    assert points.total() > 1000
    for name, count in points.items():
        assert ours[name] >= count, name
    cut = sum(1 for name in points if ours[name] > points[name])
    assert cut < len(points) / 2  # only those that leave the extract have pieces more


def test_known_tower_has_its_published_height() -> None:
    """Hotel Torni, the tallest house of the quarter, is 69.5 m high (city guides, from memory)."""
    quarter = read_ground(QUARTER)
    tallest = max(b.height_m or 0.0 for b in quarter.buildings)

    assert tallest == pytest.approx(69.5, abs=1.0)


def test_a_shopping_street_mapped_as_an_area_is_a_street() -> None:
    """Keskuskatu between Aleksanterinkatu and the Esplanadi exists only as a named area."""
    rims = [
        street
        for street in read_ground(QUARTER).streets
        if (street.name, street.kind) == ("Keskuskatu", "pedestrian")
    ]

    assert rims
    assert all(street.points_deg[0] == street.points_deg[-1] for street in rims)


def test_attribution_comes_with_the_data(helsinki: GroundRead) -> None:
    """The line that the Open Database License asks for is on the ground itself."""
    assert helsinki.ground.attribution == OSM_ATTRIBUTION
    assert "OpenStreetMap contributors" in OSM_ATTRIBUTION


def test_what_was_skipped_is_told_with_its_count(helsinki: GroundRead) -> None:
    """Ways that leave the extract are counted, so the surveyor knows the edge is ragged."""
    assert any("as far as the file holds" in line for line in helsinki.skipped)
    assert any(line.startswith("3 building parts hang") for line in helsinki.skipped)


def test_a_suburb_of_houses_is_read() -> None:
    """A second place: all closed building ways of the file, its one canopy apart."""
    whole = sum(
        way.is_way()
        and way.tags.get("building", "roof") != "roof"
        and way.is_closed()
        and all(node.location.valid() for node in way.nodes)
        for way in osmium.FileProcessor(str(SUBURB)).with_locations()
    )

    assert len(read_ground(SUBURB).buildings) == whole > 2000


def test_pbf_and_xml_of_one_quarter_give_the_same_ground(tmp_path: Path) -> None:
    """The phone's reader and the desk's see the same streets, to the last stored digit."""
    xml = tmp_path / "quarter.osm"
    xml.write_bytes(gzip.decompress(QUARTER.read_bytes()))
    pbf = tmp_path / "quarter.osm.pbf"
    with osmium.SimpleWriter(str(pbf)) as writer:
        for thing in osmium.FileProcessor(str(xml)):
            writer.add(thing)

    assert read_ground_with_report(pbf) == read_ground_with_report(xml)
    assert read_ground(xml) == read_ground(QUARTER)


def test_the_shipped_quarter_is_what_its_script_cuts() -> None:
    """Nobody edited the sample by hand: the documented script makes it again."""
    script = shipped("sample_surveys", "cut_quarter.py")
    names: dict = {"__name__": "cut_quarter", "__file__": str(script)}
    exec(compile(script.read_text(encoding="utf-8"), str(script), "exec"), names)

    assert names["cut"]() == gzip.decompress(QUARTER.read_bytes())


def test_a_member_without_a_role_belongs_to_the_outline(tmp_path: Path) -> None:
    """A house whose wall is two ways, one of them with no role, and a courtyard."""
    corners = [(0, 0), (0, 9), (9, 9), (9, 0), (3, 3), (3, 6), (6, 6)]
    nodes = "".join(
        f'<node id="{n}" lat="60.000{lat}" lon="24.000{lon}"/>'
        for n, (lat, lon) in enumerate(corners)
    )
    ways = "".join(
        f'<way id="{n}">{"".join(f"""<nd ref="{ref}"/>""" for ref in refs)}</way>'
        for n, refs in enumerate(([0, 1, 2], [0, 3, 2], [4, 5, 6, 4]))
    )
    members = "".join(
        f'<member type="way" ref="{n}" role="{role}"/>'
        for n, role in enumerate(("outer", "", "inner"))
    )
    path = tmp_path / "house.osm"
    path.write_text(
        f"""<osm version="0.6">{nodes}{ways}<relation id="1">{members}
        <tag k="type" v="multipolygon"/><tag k="building" v="yes"/></relation></osm>"""
    )

    (house,) = read_ground(path).buildings

    assert [len(set(ring)) for ring in (house.outline_deg, *house.holes_deg)] == [4, 3]
