"""Reading a bundle that may come from anywhere: see archive.py for what is refused.

Memory is bounded by the rows that are kept and one piece of a picture.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.exchange.archive import Listed, OpenArchive, open_archive
from surveyapp.exchange.bundle import MARK, PHOTOS, ROWS
from surveyapp.exchange.content import Brought, Gatherer
from surveyapp.exchange.files import refused
from surveyapp.exchange.plain_rows import ROW_KINDS, from_plain
from surveyapp.model import Row

MOST_ROW_BYTES = 1_000_000_000  # of all rows together; a row is some hundred bytes
MOST_PICTURE_BYTES = 100 * 2**20  # as the store takes them
LONGEST_LINE = 1_000_000
_PICTURE = re.compile(r"photos/([0-9a-f]{64})\.(jpg|png)", re.ASCII)
_ROWS = re.compile(r"rows/([a-z_]+)\.jsonl", re.ASCII)


def is_picture_name(name: str) -> bool:
    """Whether a name in an archive is that of a picture."""
    return _PICTURE.fullmatch(name) is not None


def read_bundle(path: Path, workspace: Path) -> Brought:
    """Rows and pictures; the pictures are unpacked into the folder `workspace`.

    Raises FormatError for a file that is no bundle, is damaged, or holds what a bundle does
    not. A row that cannot be read is a trouble with its place, and the others are given.
    """
    gatherer: Gatherer[Row] = Gatherer(path)
    with open_archive(path, MARK, _is_known) as archive:
        files = [one for one in archive.listed if one.name.startswith(ROWS)]
        if sum(one.size for one in files) > MOST_ROW_BYTES:
            raise refused(path, "holds more rows than a notebook can be brought")
        for one in files:
            _read_rows(archive, one, path, gatherer)
        pictures = unpack_pictures(archive, path, workspace)
    return Brought(
        rows=tuple(gatherer.good), pictures=tuple(pictures), troubles=tuple(gatherer.troubles)
    )


def unpack_pictures(archive: OpenArchive, path: Path, workspace: Path) -> list[Path]:
    """The archive's pictures, each proven by its hash, in the workspace."""
    found = []
    for one in archive.listed:
        if not one.name.startswith(PHOTOS):
            continue
        name = one.name.removeprefix(PHOTOS)
        if one.size > MOST_PICTURE_BYTES or name.partition(".")[0] != one.sha256:
            raise refused(path, f"holds a picture that cannot be one ({one.name})", one.name)
        found.append(archive.unpack(one, workspace / name))
    return found


def _is_known(name: str) -> bool:
    rows = _ROWS.fullmatch(name)
    return is_picture_name(name) or (rows is not None and rows[1] in ROW_KINDS)


def _read_rows(archive: OpenArchive, one: Listed, path: Path, gatherer: Gatherer[Row]) -> None:
    made = ROW_KINDS[one.name.removeprefix(ROWS).removesuffix(".jsonl")]

    def row(line: bytes) -> Row:
        taken: Row = from_plain(made, _object(line))
        return taken

    for count, line in enumerate(_lines(archive, one, path), start=1):
        gatherer.take(f"{one.name}, line {count}", partial(row, line))


def _lines(archive: OpenArchive, one: Listed, path: Path) -> Iterator[bytes]:
    rest = b""
    for chunk in archive.chunks(one):
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
