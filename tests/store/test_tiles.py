"""Pictures from an MBTiles file: the format's rows count from the south, damage is told."""

from __future__ import annotations

import io
import sqlite3
import struct
import zlib
from contextlib import closing
from pathlib import Path

import pytest
from PIL import Image

from surveyapp.errors import FormatError
from surveyapp.store.tiles import TileFile

TABLES = """
CREATE TABLE metadata (name text, value text);
CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob);
"""


def write_tiles(
    path: Path, kind: str = "png", squares: tuple[tuple[object, ...], ...] = ()
) -> Path:
    """A file by the tables of MBTiles 1.3; squares are (zoom, column, row from south, bytes)."""
    with closing(sqlite3.connect(path)) as made, made:
        made.executescript(TABLES)
        told = (("name", "Own"), ("format", kind), ("attribution", "Drawn by us"))
        made.executemany("INSERT INTO metadata VALUES (?, ?)", told)
        made.executemany("INSERT INTO tiles VALUES (?, ?, ?, ?)", squares)
    return path


def test_a_square_is_found_by_its_row_from_the_north(tmp_path: Path) -> None:
    """Row 11 from the south at zoom 4 is row 4 from the north (MBTiles 1.3, TMS numbering)."""
    held = io.BytesIO()
    Image.new("RGB", (2, 2)).save(held, "PNG")
    path = write_tiles(tmp_path / "own.mbtiles", squares=((4, 9, 11, held.getvalue()),))
    file = TileFile.open(path)

    assert file.picture(4, 9, 4) == held.getvalue()
    assert file.picture(4, 9, 11) is None
    assert (file.zooms, file.attribution, file.kind) == ((4, 4), "Drawn by us", "png")
    file.close()


@pytest.mark.parametrize(
    ("name", "says"),
    [("gone", "no file"), ("noise", "damaged"), ("cut", "damaged"), ("vector", "'pbf'"),
     ("empty", "no squares")],
)  # fmt: skip
def test_what_cannot_be_drawn_is_refused_in_a_sentence(
    tmp_path: Path, name: str, says: str
) -> None:
    """Not there, no database, cut off in the middle, vector squares, nothing in it."""
    path = tmp_path / f"{name}.mbtiles"
    squares = tuple((4, column, 11, b"x" * 3000) for column in range(16))
    if name == "noise":
        path.write_bytes(b"no database" * 400)
    elif name == "cut":
        whole = write_tiles(path, squares=squares).read_bytes()
        path.write_bytes(whole[:6000])
    elif name != "gone":
        write_tiles(path, "pbf" if name == "vector" else "png", () if name == "empty" else squares)

    with pytest.raises(FormatError, match=says):
        TileFile.open(path)


ENDLESS = "WITH RECURSIVE c(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM c) SELECT"


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        (f"DROP TABLE tiles; CREATE VIEW tiles AS {ENDLESS} n AS zoom_level FROM c", "too long"),
        (f"CREATE VIEW metadata AS {ENDLESS} n AS name, 'x' AS value FROM c", "no squares"),
        ("CREATE VIEW metadata AS SELECT 1 AS name, zeroblob(20000000) AS value", "damaged"),
        ("INSERT INTO tiles VALUES (99, 0, 0, x'00')", "no zoom from 0 to 30"),
    ],
)
def test_a_file_that_computes_instead_of_holding_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sql: str, says: str
) -> None:
    """A view that gives squares without end once kept the program for ever."""
    monkeypatch.setattr("surveyapp.store.tiles.LONGEST_S", 0.2)
    path = write_tiles(tmp_path / "own.mbtiles")
    with closing(sqlite3.connect(path)) as made:
        made.executescript(f"DROP TABLE metadata; {sql}" if "metadata" in sql else sql)

    with pytest.raises(FormatError, match=says):
        TileFile.open(path)


def test_a_square_that_claims_60000_by_60000_pixels_is_left_out(tmp_path: Path) -> None:
    """A decoder would take 14 GB for a square of some hundred bytes."""
    head = b"IHDR" + struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    chunk = struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head))
    data = struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    claim = b"\x89PNG\r\n\x1a\n" + chunk + data
    with pytest.raises(Image.DecompressionBombError):
        Image.open(io.BytesIO(claim))
    path = write_tiles(tmp_path / "own.mbtiles", squares=((4, 9, 11, claim),))
    with closing(TileFile.open(path)) as file:
        assert file.picture(4, 9, 4) is None
