"""Our bundle: a zip of a survey's rows and pictures, with a manifest of sizes and hashes.

    manifest.json        {"bundle": "survey notebook", "version": 1, "files": [...]}
    rows/KIND.jsonl      one row a line, as in plain_rows
    photos/NAME          each picture under the SHA-256 of its bytes

The only format that loses nothing of the rows and pictures. The same rows and pictures always
give the same bytes.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from surveyapp.exchange.content import Content, whole_file
from surveyapp.exchange.plain_rows import ROW_KINDS, to_plain
from surveyapp.model import Photo, Row

MANIFEST = "manifest.json"
MARK = "survey notebook"
VERSION = 1
ROWS, PHOTOS = "rows/", "photos/"
CHUNK = 1 << 20
_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can tell: no clock of ours leaks out


def write_bundle(content: Content, path: Path) -> None:
    """Write rows and pictures. Raises NotebookError where the disk refuses or a picture is
    missing from its folder."""
    with whole_file(path) as temporary, zipfile.ZipFile(temporary, "w") as archive:
        files = [_write_rows(archive, name, content) for name in _kinds_held(content)]
        files += [
            _write_picture(archive, name, content.pictures[name])
            for name in sorted(_named(content))
        ]
        manifest = {"bundle": MARK, "version": VERSION, "files": files}
        archive.writestr(_entry(MANIFEST), json.dumps(manifest, indent=1) + "\n")


def _kinds_held(content: Content) -> list[str]:
    held = {type(row) for row in content.rows}
    return [name for name, kind in ROW_KINDS.items() if kind in held]


def _named(content: Content) -> set[str]:
    """The pictures that photos name and the content has."""
    return {photo.file for photo in content.of(Photo)} & set(content.pictures)


def _write_rows(archive: zipfile.ZipFile, name: str, content: Content) -> dict[str, Any]:
    kind = ROW_KINDS[name]
    rows = sorted((row for row in content.rows if type(row) is kind), key=lambda row: row.id)
    return _write(archive, f"{ROWS}{name}.jsonl", _lines(rows), zipfile.ZIP_DEFLATED)


def _lines(rows: Iterable[Row]) -> Iterator[bytes]:
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
    for row in rows:
        yield encode(to_plain(row)).encode() + b"\n"


def _write_picture(archive: zipfile.ZipFile, name: str, source: Path) -> dict[str, Any]:
    with open(source, "rb") as file:
        chunks = iter(lambda: file.read(CHUNK), b"")
        return _write(archive, f"{PHOTOS}{name}", chunks, zipfile.ZIP_STORED)


def _write(
    archive: zipfile.ZipFile, name: str, chunks: Iterable[bytes], method: int
) -> dict[str, Any]:
    """Write one file of the archive; its line of the manifest."""
    digest, size = hashlib.sha256(), 0
    entry = _entry(name)
    entry.compress_type = method
    with archive.open(entry, "w", force_zip64=True) as file:
        for chunk in chunks:
            file.write(chunk)
            digest.update(chunk)
            size += len(chunk)
    return {"name": name, "bytes": size, "sha256": digest.hexdigest()}


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _TIME)
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    return entry
