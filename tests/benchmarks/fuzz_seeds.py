"""Sound little files of every format, for a fuzzer to begin from."""

from __future__ import annotations

import io
import json
import sqlite3
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from PIL import Image

from surveyapp.exchange.backup import write_backup
from surveyapp.exchange.formats import survey_format
from surveyapp.model import Photo
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook
from tests.exchange.survey_contents import one_of_each, picture_with_facts
from tests.store.one_of_each import DRAFT, ROWS
from tests.store.test_tiles import write_tiles


def written(key: str, folder: Path) -> list[bytes]:
    """One row of each kind, and some kinds alone, as this program writes them."""
    choices = [ROWS, tuple(row for row in ROWS if type(row) is not Photo), ROWS[:1]]
    found = []
    for number, rows in enumerate(choices):
        known = survey_format(key)
        assert known.write is not None
        path = folder / f"seed{number}{known.suffixes[0]}"
        known.write(one_of_each(folder, rows), path)
        found.append(path.read_bytes())
    return found


def bundle_rows(folder: Path) -> list[bytes]:
    """The lines of each kind of row."""
    with zipfile.ZipFile(io.BytesIO(written("bundle", folder)[0])) as archive:
        return [archive.read(n) for n in archive.namelist() if n.startswith("rows/")]


def backups(folder: Path) -> list[bytes]:
    """A backup of a database that is no notebook: what is unpacked is opened elsewhere."""
    database = folder / "seed.sqlite"
    with closing(sqlite3.connect(database)) as made:
        made.execute("CREATE TABLE a (b)")
    write_backup(database, {}, folder / "seed.backup.zip")
    return [(folder / "seed.backup.zip").read_bytes()]


def _unpressed(content: bytes) -> Iterator[bytes]:
    """The blobs of a PBF file with their contents unpressed (fileformat.proto of the OSM PBF
    format: a blob's field 1 is raw, 2 its size, 3 zlib's), so that a fuzzer reaches them."""
    place = 0
    while place < len(content):
        (size,) = struct.unpack_from(">I", content, place)
        kind = b"OSMHeader" if b"OSMHeader" in content[place + 4 : place + 4 + size] else b"OSMData"
        start = content.index(b"\x78", place + 4 + size)  # where zlib's stream begins
        raw = zlib.decompressobj().decompress(content[start:])
        length = _varint(content, place + 4 + content[place + 4 :].index(kind) + len(kind) + 1)
        blob = b"\x0a" + _as_varint(len(raw)) + raw
        header = b"\x0a" + bytes([len(kind)]) + kind + b"\x18" + _as_varint(len(blob))
        yield struct.pack(">I", len(header)) + header + blob
        place += 4 + size + length


def _varint(content: bytes, place: int) -> int:
    value, shift = 0, 0
    while True:
        value |= (content[place] & 0x7F) << shift
        if content[place] < 0x80:
            return value
        place, shift = place + 1, shift + 7


def _as_varint(value: int) -> bytes:
    held = bytearray()
    while value >= 0x80:
        held.append(value & 0x7F | 0x80)
        value >>= 7
    return bytes([*held, value])


def small_pbf(folder: Path) -> list[bytes]:
    """A few streets and houses as osmium writes them, pressed and not."""
    import osmium

    source, made = folder / "seed.osm", folder / "seed.osm.pbf"
    source.write_bytes(small_osm(folder)[0])
    with osmium.SimpleWriter(str(made)) as writer:
        for thing in osmium.FileProcessor(str(source)):
            writer.add(thing)
    whole = made.read_bytes()
    return [b"".join(_unpressed(whole)), whole]


def small_osm(folder: Path) -> list[bytes]:
    """The same streets and houses in XML."""
    nodes = "".join(
        f'<node id="{n}" version="1" lat="60.{n:04}" lon="24.{n * n % 97:04}">'
        + ('<tag k="highway" v="street_lamp"/>' if n == 9 else "")
        + "</node>"
        for n in range(1, 13)
    )
    house = "".join(f'<nd ref="{n}"/>' for n in (1, 2, 3, 4, 1))
    ways = (
        f'<way id="1" version="1">{house}<tag k="building" v="yes"/>'
        '<tag k="building:levels" v="5"/><tag k="height" v="12,5 m"/></way>'
        '<way id="2" version="1"><nd ref="5"/><nd ref="6"/><tag k="highway" v="residential"/>'
        '<tag k="name" v="Mill Street"/></way>'
        '<way id="3" version="1"><nd ref="7"/><nd ref="8"/><nd ref="9"/><nd ref="7"/></way>'
    )
    relation = (
        '<relation id="1" version="1"><member type="way" ref="3" role="outer"/>'
        '<tag k="type" v="multipolygon"/><tag k="building" v="yes"/></relation>'
    )
    return [f'<?xml version="1.0"?><osm version="0.6">{nodes}{ways}{relation}</osm>'.encode()]


def ground_geojson(folder: Path) -> list[bytes]:
    """A house, a path, a house of many, a lamp."""
    ring = [[24.0, 60.0], [24.1, 60.0], [24.1, 60.1], [24.0, 60.0]]
    shapes = [
        ({"type": "Polygon", "coordinates": [ring]}, {"building": "yes", "height": "12 m"}),
        ({"type": "LineString", "coordinates": ring}, {"highway": "path", "name": "Mill Street"}),
        ({"type": "MultiPolygon", "coordinates": [[ring]]}, {"building:levels": 5}),
        ({"type": "Point", "coordinates": ring[0]}, {"highway": "street_lamp"}),
    ]
    features = [{"type": "Feature", "geometry": g, "properties": p} for g, p in shapes]
    return [json.dumps({"type": "FeatureCollection", "features": features}).encode()]


GPX = b"""<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="60.1"
 lon="24.9"><ele>3</ele><name>Mast</name><type>roof</type></wpt><trk><trkseg>%b</trkseg></trk></gpx>
""" % b"".join(
    b'<trkpt lat="60.1" lon="24.9"><time>2026-05-04T12:%02d:00Z</time></trkpt>' % minute
    for minute in range(5)
)
KML = b"""<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>Mast</name>
<description>on a roof, 12 m</description><Point><coordinates>24.9,60.1,3</coordinates></Point>
</Placemark></Document></kml>"""
LEADS = b"name,lat,lon,operator,kind,height,note\nMast,60.1,24.9,Invented,roof,12 m,grey\n"
LEADS_JSON = b"""{"type":"FeatureCollection","features":[{"type":"Feature","properties":
{"name":"Mast","height":"12 m"},"geometry":{"type":"Point","coordinates":[24.9,60.1]}}]}"""
NMEA = b"".join(
    b"$GPRMC,1200%02d,A,6006.000,N,02454.000,E,0.1,84.4,040526,,,A\r\n" % second
    for second in range(0, 60, 9)
)
IPERF3 = json.dumps(
    {
        "start": {
            "version": "iperf 3.12",
            "timestamp": {"timesecs": 1_777_888_000},
            "connecting_to": {"host": "speed.example", "port": 5201},
            "test_start": {"protocol": "TCP", "num_streams": 8, "reverse": 1, "duration": 10},
        },
        "end": {
            "sum_sent": {"bits_per_second": 1.5e9, "retransmits": 12, "sender": True},
            "sum_received": {"bits_per_second": 1.48e9, "sender": True},
        },
    }
).encode()
LINES = (
    b"n258 4x100 rsrp -86 sinr 14.5 pci 15 + b20 10 rsrp -95 pci 201",
    b"5G n78 100 MHz, -92 dBm; LTE B3 20MHz; 1480/96 17 ms jitter 2,4 loss 0%",
    "1480 down / 96 up, server in Turku; never saw the mast ≥ 12 m – gusts".encode(),
)


def pictures(folder: Path) -> list[bytes]:
    """A JPEG with facts and a PNG."""
    held = io.BytesIO()
    Image.new("RGB", (16, 12), "navy").save(held, "PNG")
    return [picture_with_facts(), held.getvalue()]


def notebooks(folder: Path) -> list[bytes]:
    """A notebook with one row of each kind."""
    path = folder / "seed.notebook"
    with Notebook.create(path) as notebook:
        notebook.save(*ROWS)
        notebook.keep_draft(DRAFT)
    return [path.read_bytes()]


def tiles(folder: Path) -> list[bytes]:
    """A file of one square."""
    return [write_tiles(folder / "seed.mbtiles", squares=((4, 9, 11, b"picture"),)).read_bytes()]


def catalogue(folder: Path) -> list[bytes]:
    """The first messages of a catalogue that is shipped."""
    whole = shipped("assets", "languages", "de.po").read_bytes()
    return [whole[: whole.index(b"\n\n", 3000)]]
