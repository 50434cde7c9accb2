"""Reading a bundle that may come from anywhere: nothing in it is believed.

Names are taken only from the few forms a bundle has, so nothing can be written outside the
workspace; links, encrypted, repeated or unlisted files are refused; what unpacks to more than
its manifest says, or than a survey can be, is given up in the middle. Memory is bounded by one
line of rows and one piece of a picture.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, NamedTuple

from surveyapp.errors import FormatError, InvalidValue
from surveyapp.exchange.bundle import CHUNK, MANIFEST, MARK, PHOTOS, ROWS, VERSION
from surveyapp.exchange.content import Brought, Trouble
from surveyapp.exchange.json_text import refused
from surveyapp.exchange.plain_rows import ROW_KINDS, from_plain
from surveyapp.model import Row

MOST_FILES = 50_000
MOST_MANIFEST_BYTES = 16_000_000
MOST_ROW_BYTES = 1_000_000_000  # of all rows together; a row is some hundred bytes
MOST_PICTURE_BYTES = 100 * 2**20  # as the store takes them
LONGEST_LINE = 1_000_000
_PICTURE = re.compile(r"photos/([0-9a-f]{64})\.(jpg|png)", re.ASCII)
_ROWS = re.compile(r"rows/([a-z_]+)\.jsonl", re.ASCII)
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)


class _Listed(NamedTuple):
    """A file as the manifest tells it."""

    name: str
    size: int
    sha256: str


def is_bundle(path: Path) -> bool:
    """Whether a file is a zip with a manifest."""
    try:
        with zipfile.ZipFile(path) as archive:
            return MANIFEST in archive.NameToInfo
    except (*_BROKEN, OSError):
        return False


def read_bundle(path: Path, workspace: Path) -> Brought:
    """Rows and pictures; the pictures are unpacked into the folder `workspace`.

    Raises FormatError for a file that is no bundle, is damaged, or holds what a bundle does
    not. A row that cannot be read is a trouble with its place, and the others are given.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            entries = _entries(archive, path)
            listed = _manifest(archive, path)
            if {one.name for one in listed} != set(entries):
                raise refused(path, "is no whole bundle: its manifest tells of other files")
            rows: list[Row] = []
            troubles: list[Trouble] = []
            for one in listed:
                if one.name.startswith(ROWS):
                    _read_rows(archive, one, path, rows, troubles)
            pictures = [
                _unpack(archive, one, path, workspace)
                for one in listed
                if one.name.startswith(PHOTOS)
            ]
    except FormatError:
        raise
    except _BROKEN as error:
        raise refused(path, f"is no whole bundle ({error}): fetch it again") from error
    return Brought(rows=tuple(rows), pictures=tuple(pictures), troubles=tuple(troubles))


def _entries(archive: zipfile.ZipFile, path: Path) -> list[str]:
    """The names in the archive but the manifest's, each judged."""
    infos = archive.infolist()
    if len(infos) > MOST_FILES:
        raise refused(path, f"holds more than {MOST_FILES} files: that is no survey")
    names = [info.filename for info in infos]
    if len(set(names)) != len(names):
        raise refused(path, "holds two files of one name")
    if sum(info.compress_size for info in infos) > path.stat().st_size:
        raise refused(path, "tells of more bytes than it has: its files lie over each other")
    for info in infos:
        kind = stat.S_IFMT(info.external_attr >> 16)
        if info.flag_bits & 1:
            raise refused(path, f"is encrypted ({_short(info.filename)})", info.filename)
        if kind not in (0, stat.S_IFREG):
            raise refused(path, f"holds a link or device ({_short(info.filename)})", info.filename)
        if info.filename != MANIFEST and not _is_known(info.filename):
            raise refused(
                path, f"holds '{_short(info.filename)}', which is no part of a bundle",
                info.filename,
            )  # fmt: skip
    return [name for name in names if name != MANIFEST]


def _is_known(name: str) -> bool:
    rows = _ROWS.fullmatch(name)
    return bool(_PICTURE.fullmatch(name)) or (rows is not None and rows[1] in ROW_KINDS)


def _manifest(archive: zipfile.ZipFile, path: Path) -> list[_Listed]:
    """The files the manifest lists, rows before pictures."""
    if MANIFEST not in archive.NameToInfo:
        raise refused(path, "is a zip but no bundle: it has no manifest.json")
    with archive.open(MANIFEST) as file:
        text = file.read(MOST_MANIFEST_BYTES + 1)
    if len(text) > MOST_MANIFEST_BYTES:
        raise refused(path, "has a manifest too large to be one", MANIFEST)
    try:
        found = json.loads(text)
        if found["bundle"] != MARK:
            raise KeyError(found["bundle"])
        version = int(found["version"])
        listed = [
            _Listed(str(f["name"]), int(f["bytes"]), str(f["sha256"])) for f in found["files"]
        ]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise refused(path, "has a manifest that cannot be read", MANIFEST) from error
    if version != VERSION:
        raise refused(path, "was made by a newer version of this program: update it")
    if sum(one.size for one in listed if one.name.startswith(ROWS)) > MOST_ROW_BYTES:
        raise refused(path, "holds more rows than a notebook can be brought", MANIFEST)
    return sorted(listed, key=lambda one: not one.name.startswith(ROWS))


def _chunks(file: IO[bytes], one: _Listed, path: Path) -> Iterator[bytes]:
    """The file's bytes, given up as soon as there are more than listed; judged at their end."""
    digest, size = hashlib.sha256(), 0
    while chunk := file.read(min(CHUNK, one.size - size + 1)):
        size += len(chunk)
        if size > one.size:
            break
        digest.update(chunk)
        yield chunk
    if size != one.size or digest.hexdigest() != one.sha256:
        raise refused(path, f"is damaged: {one.name} is not what its manifest says", one.name)


def _read_rows(
    archive: zipfile.ZipFile, one: _Listed, path: Path, rows: list[Row], troubles: list[Trouble]
) -> None:
    match = _ROWS.fullmatch(one.name)
    assert match is not None, "only known names are listed"
    made = ROW_KINDS[match[1]]
    with archive.open(one.name) as file:
        for count, line in enumerate(_lines(file, one, path), start=1):
            try:
                rows.append(from_plain(made, _object(line)))
            except InvalidValue as error:
                troubles.append(Trouble(place=f"{one.name}, line {count}", what=str(error)))


def _lines(file: IO[bytes], one: _Listed, path: Path) -> Iterator[bytes]:
    rest = b""
    for chunk in _chunks(file, one, path):
        *whole, rest = (rest + chunk).split(b"\n")
        yield from whole
        if len(rest) > LONGEST_LINE:
            raise refused(path, f"holds a line too long to be a row in {one.name}", one.name)
    if rest:
        yield rest


def _object(line: bytes) -> dict[str, Any]:
    try:
        held = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise InvalidValue(f"is no valid JSON ({error})") from error
    if not isinstance(held, dict):
        raise InvalidValue("is no object")
    return held


def _unpack(archive: zipfile.ZipFile, one: _Listed, path: Path, workspace: Path) -> Path:
    """A picture, proven by its hash, in the workspace."""
    match = _PICTURE.fullmatch(one.name)
    assert match is not None, "only known names are listed"
    if one.size > MOST_PICTURE_BYTES or match[1] != one.sha256:
        raise refused(path, f"holds a picture that cannot be one ({one.name})", one.name)
    target = workspace / f"{match[1]}.{match[2]}"
    with archive.open(one.name) as file, open(target, "wb") as out:
        for chunk in _chunks(file, one, path):
            out.write(chunk)
    return target


def _short(name: str) -> str:
    return name if len(name) <= 60 else f"{name[:60]}..."
