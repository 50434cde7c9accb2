"""Texts made to harm, given to every reader: answered or refused at once, in little memory.

The forms are those of CWE-400 (uncontrolled consumption), CWE-674 (recursion), CWE-776 (entity
expansion) and CWE-611 (references to other files); from memory.
"""

from __future__ import annotations

import struct
import time
import tracemalloc
import zlib
from contextlib import suppress
from pathlib import Path

import pytest

from surveyapp.errors import SurveyError
from tests.benchmarks.fuzz_readers import TARGETS

MUCH = 400_000  # ten megabytes behave alike, and take the suite a minute
LONGEST_S, MOST_BYTES = 3.0, 60_000_000
FEATURE = '{"type":"Feature","properties":{"name":"é"},"geometry":null}'
POINT = '<gpx><wpt lat="1" lon="2"><name>é</name></wpt></gpx>'
LAUGHS = b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">' + b"".join(
    b'<!ENTITY %c "%s">' % (98 + step, b"&%c;" % (97 + step) * 10) for step in range(9)
)


def pbf_that_claims_2_gb() -> bytes:
    """A blob of some hundred bytes whose raw_size is 2**31 - 1 (fileformat.proto of OSM PBF)."""
    packed = zlib.compress(b"\0" * 1000)
    blob = b"\x10\xff\xff\xff\xff\x07\x1a" + bytes([len(packed)]) + packed
    header = b"\x0a\x09OSMHeader\x18" + bytes([len(blob)])
    return struct.pack(">I", len(header)) + header + blob


GEOJSON = ("ground GeoJSON", "survey GeoJSON", "leads GeoJSON")
JSON = (*GEOJSON, "iperf3 and ping")
XML = ("survey GPX and tracks", "leads GPX", "survey KML", "leads KML", "ground OSM XML")
CSV = ("survey CSV", "leads CSV")
TEXT = ("NMEA", "iperf3 and ping", "one line", "typed position", "language catalogue")
CASES = [
    *((name, "deep lists", b"[" * MUCH) for name in (*JSON, "bundle's rows")),
    *((name, "deep objects", b'{"a":' * (MUCH // 5)) for name in JSON),
    *((name, "a number without end", b'{"type":' + b"9" * MUCH + b"}") for name in JSON),
    *((name, "UTF-16", FEATURE.encode("utf-16")) for name in JSON),
    *((name, "Latin-1", FEATURE.encode("latin-1")) for name in JSON),
    *((name, "entities", LAUGHS + b"]><gpx>&j;</gpx>") for name in XML),
    *((name, "a file", b'<!DOCTYPE gpx SYSTEM "file:///etc/hostname"><gpx/>') for name in XML),
    *((name, "deep elements", b"<gpx>" * (MUCH // 10)) for name in XML),
    *((name, "a long name", b"<gpx><wpt><name>" + b"x" * MUCH) for name in XML),
    *((name, "UTF-16", POINT.encode("utf-16")) for name in XML),
    *((name, "UTF-7", b'<?xml version="1.0" encoding="utf-7"?><gpx/>') for name in XML),
    *((name, "an open quote", b'row,id,lat,lon\n"' + b"x" * MUCH) for name in CSV),
    *((name, "cells without end", b"row,id,lat,lon\n" + b"," * MUCH) for name in CSV),
    *((name, "UTF-16", "row,lat,lon,name\nsite,1,2,é\n".encode("utf-16")) for name in CSV),
    *((name, "one letter", b"x" * MUCH) for name in TEXT),
    *((name, "one digit", b"1" * MUCH) for name in TEXT),
    *((name, "blanks", b"PING x (1)" + b" " * MUCH + b"time=1") for name in TEXT),
    *((name, "line ends", b"\n" * (MUCH // 10)) for name in TEXT),
    *((name, "NUL", b"\0" * MUCH) for name in TEXT),
    *((name, "NUL", b"\0" * 1000) for name in TARGETS if name not in TEXT),
    ("one line", "one band", b"n258 4x100 + " * (MUCH // 13)),
    ("language catalogue", "one text", b'msgid ""\nmsgstr ""\n' + b'"x"\n' * (MUCH // 20)),
    ("language catalogue", "six megabytes", b'msgid "' + b"x" * 6_000_000 + b'"\nmsgstr "y"\n'),
    ("ground PBF", "a claim of 2 GB", pbf_that_claims_2_gb()),
    ("ground PBF", "a head of 2 GB", struct.pack(">I", 2**31 - 1) + b"x" * 2000),
]


@pytest.mark.parametrize("name", TARGETS)
def test_a_text_made_to_harm_costs_little(name: str, tmp_path: Path) -> None:
    """Some seconds and a hundred megabytes at most, and nothing but a refusal comes out."""
    for number, what, content in [
        (number, what, content)
        for number, (reader, what, content) in enumerate(CASES)
        if reader == name
    ]:
        folder = tmp_path / f"{number}"
        folder.mkdir()
        begun = time.process_time()
        tracemalloc.start()
        with suppress(SurveyError):
            TARGETS[name].read(content, folder)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()

        assert time.process_time() - begun < LONGEST_S, what
        assert peak < MOST_BYTES, what
