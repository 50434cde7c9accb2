"""Our bundle: a zip of a survey's rows and pictures, with a manifest of sizes and hashes.

    manifest.json        {"bundle": "survey bundle", "version": 1, "files": [...]}
    rows/KIND.jsonl      one row a line, as in plain_rows
    photos/NAME          each picture under the SHA-256 of its bytes

The only format that loses nothing of the rows and pictures.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path

from surveyapp.exchange.archive import Part, pieces_of, write_archive
from surveyapp.exchange.content import Content
from surveyapp.exchange.plain_rows import ROW_KINDS, to_plain
from surveyapp.model import Photo, Row

MARK = "survey bundle"
ROWS, PHOTOS = "rows/", "photos/"


def write_bundle(content: Content, path: Path) -> None:
    """Write rows and pictures. Raises NotebookError where the disk refuses or a picture is
    missing from its folder."""
    write_archive(path, MARK, _parts(content))


def _parts(content: Content) -> Iterator[Part]:
    for name, kind in ROW_KINDS.items():
        rows = sorted((row for row in content.rows if type(row) is kind), key=lambda row: row.id)
        if rows:
            yield Part(f"{ROWS}{name}.jsonl", _lines(rows), press=True)
    named = {photo.file for photo in content.of(Photo)} & set(content.pictures)
    for name in sorted(named):
        yield Part(f"{PHOTOS}{name}", pieces_of(content.pictures[name]), press=False)


def _lines(rows: Iterable[Row]) -> Iterator[bytes]:
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
    for row in rows:
        yield encode(to_plain(row)).encode() + b"\n"
