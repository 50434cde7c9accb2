"""Cuts the quarter of the demo out of the Helsinki extract: `python sample_surveys/cut_quarter.py`.

Writes `quarter.osm.gz` (OpenStreetMap XML) beside this file, so that the demo's streets can
be read on a phone, where osmium is not at hand. Whatever touches the box is kept whole: its
ways with all their points, and its building relations with all their member ways. Objects
that the notebook cannot use are left out, and so are editors' names, versions and times.
"""

from __future__ import annotations

import gzip
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree.ElementTree import fromstring, indent, tostring

import osmium

FOLDER = Path(__file__).resolve().parent
SOURCE = FOLDER / "helsinki_centre.osm.pbf"
TARGET = FOLDER / "quarter.osm.gz"
# About 700 m x 700 m, chosen by counting lamps, buildings with heights and named streets.
SOUTH, WEST, NORTH, EAST = 60.1663, 24.9370, 60.1726, 24.9496
USEFUL = ("highway", "building", "building:part", "man_made", "power", "natural")


def inside(location: osmium.osm.Location) -> bool:
    """True where the location is held by the extract and lies in the box."""
    return location.valid() and SOUTH <= location.lat <= NORTH and WEST <= location.lon <= EAST


def chosen_ids() -> tuple[set[int], set[int], set[int]]:
    """Ids of the nodes, ways and relations that belong to the quarter."""
    ways: dict[int, tuple[bool, bool, list[int]]] = {}
    nodes: set[int] = set()
    relations: set[int] = set()
    chosen_ways: set[int] = set()
    for thing in osmium.FileProcessor(str(SOURCE)).with_locations():
        useful = any(key in thing.tags for key in USEFUL)
        if thing.is_node() and useful and inside(thing.location):
            nodes.add(thing.id)
        elif thing.is_way():
            touches = any(inside(node.location) for node in thing.nodes)
            held = [node.ref for node in thing.nodes if node.location.valid()]
            ways[thing.id] = (useful, touches, held)
        elif thing.is_relation() and ("building" in thing.tags or "building:part" in thing.tags):
            members = [m.ref for m in thing.members if m.type == "w" and m.ref in ways]
            if any(ways[way][1] for way in members):
                relations.add(thing.id)
                chosen_ways.update(members)
    chosen_ways.update(way for way, (useful, touches, _) in ways.items() if useful and touches)
    for way in chosen_ways:
        nodes.update(ways[way][2])
    return nodes, chosen_ways, relations


def plain(xml: bytes) -> bytes:
    """The same document without versions, times and editors, and with its licence stated."""
    root = fromstring(xml)
    root.attrib = {
        "version": "0.6",
        "generator": "cut_quarter.py",
        "attribution": "Data (c) OpenStreetMap contributors, Open Database License 1.0",
    }
    for thing in root:
        for key in ("version", "timestamp", "changeset", "uid", "user", "visible"):
            thing.attrib.pop(key, None)
    indent(root, " ")
    return tostring(root, encoding="utf-8", xml_declaration=True)


def cut() -> bytes:
    """The quarter as OpenStreetMap XML."""
    nodes, ways, relations = chosen_ids()
    with TemporaryDirectory() as folder:
        target = Path(folder) / "quarter.osm"
        with osmium.SimpleWriter(str(target)) as writer:
            for thing in osmium.FileProcessor(str(SOURCE)):
                if thing.is_node() and thing.id in nodes:
                    writer.add_node(thing)
                elif thing.is_way() and thing.id in ways:
                    writer.add_way(thing)
                elif thing.is_relation() and thing.id in relations:
                    writer.add_relation(thing)
        return plain(target.read_bytes())


if __name__ == "__main__":
    TARGET.write_bytes(gzip.compress(cut(), mtime=0))
    print(f"{TARGET.name}: {TARGET.stat().st_size:,} bytes")
