"""A zip with a manifest of sizes and hashes: what bundles and backups are kept in.

Reading believes nothing, wherever the file comes from: names are taken only where the caller
knows them, so nothing can be written elsewhere; links, encrypted, repeated or unlisted files are
refused; what unpacks to more than its manifest says is given up in the middle. The same content
always gives the same bytes.
"""

from __future__ import annotations

import hashlib
import json
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, NamedTuple

from surveyapp.errors import FormatError
from surveyapp.exchange.content import whole_file
from surveyapp.exchange.files import refused

MANIFEST = "manifest.json"
VERSION = 1
CHUNK = 1 << 20
MOST_FILES = 50_000
MOST_MANIFEST_BYTES = 16_000_000
MOST_PRESSED = 100  # times: rows and pages of ours press some ten times, pictures hardly at all
SMALL_BYTES = 16_000_000  # up to which a file may unpack however small it is
_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can tell: no clock of ours leaks out
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)

Chunks = Iterable[bytes]


class Part(NamedTuple):
    """A file to be written: its name, its bytes in pieces, and whether to press them."""

    name: str
    chunks: Chunks
    press: bool


class Listed(NamedTuple):
    """A file as the manifest tells it."""

    name: str
    size: int
    sha256: str


def write_archive(path: Path, mark: str, parts: Iterable[Part]) -> None:
    """Write the parts and their manifest. Raises NotebookError where the disk refuses."""
    with whole_file(path) as temporary, zipfile.ZipFile(temporary, "w") as archive:
        files = [_write(archive, part) for part in parts]
        manifest = {"bundle": mark, "version": VERSION, "files": files}
        archive.writestr(_entry(MANIFEST), json.dumps(manifest, indent=1) + "\n")


def pieces_of(path: Path) -> Iterator[bytes]:
    """The bytes of a file, piece by piece."""
    with open(path, "rb") as file:
        while chunk := file.read(CHUNK):
            yield chunk


def _write(archive: zipfile.ZipFile, part: Part) -> dict[str, Any]:
    """Write one part; its line of the manifest."""
    digest, size = hashlib.sha256(), 0
    entry = _entry(part.name)
    entry.compress_type = zipfile.ZIP_DEFLATED if part.press else zipfile.ZIP_STORED
    with archive.open(entry, "w", force_zip64=True) as file:
        for chunk in part.chunks:
            file.write(chunk)
            digest.update(chunk)
            size += len(chunk)
    return {"name": part.name, "bytes": size, "sha256": digest.hexdigest()}


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _TIME)
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    return entry


class OpenArchive:
    """An archive whose names and manifest have been judged."""

    def __init__(self, path: Path, archive: zipfile.ZipFile, listed: Sequence[Listed]) -> None:
        self.listed = listed
        self._path = path
        self._archive = archive

    def chunks(self, one: Listed) -> Iterator[bytes]:
        """The file's bytes, given up as soon as there are more than listed; FormatError at
        their end where they are not what the manifest says."""
        digest, size = hashlib.sha256(), 0
        with self._archive.open(one.name) as file:
            while chunk := _piece(file, one.size - size):
                size += len(chunk)
                if size > one.size:
                    break
                digest.update(chunk)
                yield chunk
        if size != one.size or digest.hexdigest() != one.sha256:
            told = f"is damaged: {one.name} is not what its manifest says"
            raise refused(self._path, told, one.name)

    def unpack(self, one: Listed, target: Path) -> Path:
        """Write the file's bytes to `target`, proven."""
        with open(target, "wb") as out:
            for chunk in self.chunks(one):
                out.write(chunk)
        return target


def _piece(file: IO[bytes], rest: int) -> bytes:
    return file.read(min(CHUNK, rest + 1))


@contextmanager
def open_archive(path: Path, mark: str, is_known: Callable[[str], bool]) -> Iterator[OpenArchive]:
    """Open an archive to read the files whose names are known to the caller.

    Raises FormatError for any other file, and for damage met inside the block.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            listed = _manifest(archive, path, mark)
            names = _names(archive, path, mark, is_known)
            if {one.name for one in listed} != set(names):
                raise refused(path, "is not whole: its manifest tells of other files")
            yield OpenArchive(path, archive, listed)
    except FormatError:
        raise
    except _BROKEN as error:
        raise refused(path, f"is no whole zip ({error}): fetch it again") from error


def _names(
    archive: zipfile.ZipFile, path: Path, mark: str, is_known: Callable[[str], bool]
) -> list[str]:
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
        shown = info.filename if len(info.filename) <= 60 else f"{info.filename[:60]}..."
        if info.flag_bits & 1:
            raise refused(path, f"is encrypted ({shown})", info.filename)
        if kind not in (0, stat.S_IFREG):
            raise refused(path, f"holds a link or device ({shown})", info.filename)
        if info.filename != MANIFEST and not is_known(info.filename):
            raise refused(path, f"holds '{shown}', which is no part of a {mark}", info.filename)
    return [name for name in names if name != MANIFEST]


def _found(archive: zipfile.ZipFile, path: Path) -> Any:
    """What stands in the manifest."""
    with archive.open(MANIFEST) as file:
        text = file.read(MOST_MANIFEST_BYTES + 1)
    if len(text) > MOST_MANIFEST_BYTES:
        raise refused(path, "has a manifest too large to be one", MANIFEST)
    return json.loads(text)


def _manifest(archive: zipfile.ZipFile, path: Path, mark: str) -> list[Listed]:
    """The files the manifest lists."""
    if MANIFEST not in archive.NameToInfo:
        raise refused(path, "is a zip but no bundle: it has no manifest.json")
    try:
        found = _found(archive, path)
        told, version = str(found["bundle"]), int(found["version"])
        listed = [Listed(str(f["name"]), int(f["bytes"]), str(f["sha256"])) for f in found["files"]]
    except FormatError:
        raise
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise refused(path, "has a manifest that cannot be read", MANIFEST) from error
    if told != mark:
        raise refused(path, f"holds '{told[:40]}', not a {mark}: choose another file", MANIFEST)
    if len(listed) > MOST_FILES or len({one.name for one in listed}) != len(listed):
        raise refused(path, "has a manifest that lists a file twice, or far too many", MANIFEST)
    if any(one.size < 0 for one in listed):
        raise refused(path, "has a manifest that tells of a size below nothing", MANIFEST)
    if sum(one.size for one in listed) > SMALL_BYTES + MOST_PRESSED * path.stat().st_size:
        raise refused(path, "would unpack to far more than it can hold", MANIFEST)
    if version != VERSION:
        raise refused(path, "was made by a newer version of this program: update it")
    return listed
