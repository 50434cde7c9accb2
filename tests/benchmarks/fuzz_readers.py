"""Every reader of what others have made, as a fuzzer calls it, and sound files to begin from.

A reader takes the bytes of one file and may only answer or raise a `SurveyError`.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from surveyapp.errors import SurveyError
from surveyapp.exchange.archive import MANIFEST
from surveyapp.exchange.backup import unpack_backup
from surveyapp.exchange.formats import read_ground, read_leads, read_survey
from surveyapp.exchange.one_line import read_line
from surveyapp.exchange.photo_exif import read_photo
from surveyapp.exchange.photo_stamp import Stamp, stamped
from surveyapp.exchange.photo_thumbnail import thumbnail
from surveyapp.exchange.picture_bytes import only_pixels
from surveyapp.exchange.run_facts import looks_like_run, read_run_file, read_run_text
from surveyapp.geometry.position_text import parse_position
from surveyapp.languages import compiled, own_name, read_catalogue
from surveyapp.store.notebook import Notebook
from surveyapp.store.rows import KINDS
from surveyapp.store.tiles import TileFile
from tests.benchmarks import fuzz_seeds
from tests.exchange.test_ping_text import LINUX, MACOS, WINDOWS

STAMP = Stamp(time_utc=datetime(2026, 5, 4, tzinfo=UTC), lat_deg=60.0, lon_deg=24.0)


@dataclass(frozen=True, kw_only=True)
class Target:
    """A reader: `read` gets the bytes and a folder it may write to; `seeds` are sound inputs."""

    read: Callable[[bytes, Path], object]
    seeds: Callable[[Path], list[bytes]]


def _file(read: Callable[[Path], object], suffix: str, content: bytes, folder: Path) -> None:
    path = folder / f"case{suffix}"
    path.write_bytes(content)
    read(path)


def _of_file(read: Callable[[Path], object], suffix: str) -> Callable[[bytes, Path], object]:
    return partial(_file, read, suffix)


def _survey(suffix: str) -> Callable[[bytes, Path], object]:
    return lambda content, folder: _file(
        lambda path: read_survey(path, folder, tracks=True), suffix, content, folder
    )


def _rows_in_a_bundle(content: bytes, folder: Path) -> None:
    """The bytes as the rows of a bundle whose manifest is right: behind the hash."""
    names = {"rows/reading.jsonl": content, "rows/survey.jsonl": b"{}\n"}
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        files = [
            {"name": name, "bytes": len(held_), "sha256": hashlib.sha256(held_).hexdigest()}
            for name, held_ in names.items()
        ]
        told = {"bundle": "survey bundle", "version": 1, "files": files}
        archive.writestr(MANIFEST, json.dumps(told))
        for name, told_bytes in names.items():
            archive.writestr(name, told_bytes)
    _survey(".zip")(held.getvalue(), folder)


def _picture(content: bytes, folder: Path) -> None:
    """All that is done with a picture that somebody brings: each alone, one refusing or not."""
    path = folder / "case.jpg"
    path.write_bytes(content)
    for read in (read_photo, thumbnail):
        _allow_refusal(lambda read=read: read(path))
    _allow_refusal(lambda: only_pixels(content))
    _allow_refusal(lambda: stamped(content, STAMP))


def _allow_refusal(action: Callable[[], object]) -> None:
    try:
        action()
    except SurveyError:
        return


def _run(content: bytes, folder: Path) -> None:
    for suffix in (".json", ".txt"):
        path = folder / f"case{suffix}"
        path.write_bytes(content)
        _allow_refusal(lambda path=path: looks_like_run(path))
        _allow_refusal(lambda path=path: read_run_file(path))
    _allow_refusal(lambda: read_run_text(content.decode(errors="replace")))


def _tiles(path: Path) -> None:
    file = TileFile.open(path)
    try:
        low, high = file.zooms
        for zoom in {low, high}:
            file.picture(zoom, 9, 4)
    finally:
        file.close()


def _notebook(path: Path) -> None:
    with Notebook.open(path) as notebook:
        notebook.check()
        for kind in KINDS:
            notebook.all(kind)
        notebook.drafts()
        notebook.history()
        notebook.undo()


def _catalogue(path: Path) -> None:
    compiled(read_catalogue(path))
    own_name(path)


def _text(read: Callable[[str], object]) -> Callable[[bytes, Path], object]:
    return lambda content, folder: read(content.decode(errors="replace"))


def _fixed(*contents: bytes) -> Callable[[Path], list[bytes]]:
    return lambda folder: list(contents)


TARGETS = {
    "ground PBF": Target(read=_of_file(read_ground, ".osm.pbf"), seeds=fuzz_seeds.small_pbf),
    "ground OSM XML": Target(read=_of_file(read_ground, ".osm"), seeds=fuzz_seeds.small_osm),
    "ground OSM XML, gzip": Target(
        read=_of_file(read_ground, ".osm.gz"),
        seeds=lambda folder: [gzip.compress(fuzz_seeds.small_osm(folder)[0])],
    ),
    "ground GeoJSON": Target(
        read=_of_file(read_ground, ".geojson"), seeds=fuzz_seeds.ground_geojson
    ),
    "survey GeoJSON": Target(
        read=_survey(".geojson"), seeds=partial(fuzz_seeds.written, "geojson")
    ),
    "survey GPX and tracks": Target(
        read=_survey(".gpx"),
        seeds=lambda folder: [*fuzz_seeds.written("gpx", folder), fuzz_seeds.GPX],
    ),
    "survey KML": Target(read=_survey(".kml"), seeds=partial(fuzz_seeds.written, "kml")),
    "survey CSV": Target(read=_survey(".csv"), seeds=partial(fuzz_seeds.written, "csv")),
    "survey GeoPackage": Target(read=_survey(".gpkg"), seeds=partial(fuzz_seeds.written, "gpkg")),
    "bundle": Target(read=_survey(".zip"), seeds=partial(fuzz_seeds.written, "bundle")),
    "bundle's rows": Target(read=_rows_in_a_bundle, seeds=fuzz_seeds.bundle_rows),
    "backup": Target(
        read=lambda content, folder: _file(
            lambda path: unpack_backup(path, folder), ".zip", content, folder
        ),
        seeds=fuzz_seeds.backups,
    ),
    "leads CSV": Target(read=_of_file(read_leads, ".csv"), seeds=_fixed(fuzz_seeds.LEADS)),
    "leads GeoJSON": Target(
        read=_of_file(read_leads, ".geojson"), seeds=_fixed(fuzz_seeds.LEADS_JSON)
    ),
    "leads GPX": Target(read=_of_file(read_leads, ".gpx"), seeds=_fixed(fuzz_seeds.GPX)),
    "leads KML": Target(read=_of_file(read_leads, ".kml"), seeds=_fixed(fuzz_seeds.KML)),
    "NMEA": Target(read=_survey(".nmea"), seeds=_fixed(fuzz_seeds.NMEA)),
    "photo": Target(read=_picture, seeds=fuzz_seeds.pictures),
    "iperf3 and ping": Target(
        read=_run, seeds=_fixed(fuzz_seeds.IPERF3, *(t.encode() for t in (LINUX, MACOS, WINDOWS)))
    ),
    "notebook": Target(read=_of_file(_notebook, ".notebook"), seeds=fuzz_seeds.notebooks),
    "MBTiles": Target(read=_of_file(_tiles, ".mbtiles"), seeds=fuzz_seeds.tiles),
    "one line": Target(read=_text(read_line), seeds=_fixed(*fuzz_seeds.LINES)),
    "typed position": Target(
        read=_text(parse_position), seeds=_fixed("60°10'11.6\"N 24°56'18.2\"E".encode())
    ),
    "language catalogue": Target(read=_of_file(_catalogue, ".po"), seeds=fuzz_seeds.catalogue),
}
