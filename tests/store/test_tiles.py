"""Pictures from an MBTiles file: the format's rows count from the south, damage is told."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

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
    path = write_tiles(tmp_path / "own.mbtiles", squares=((4, 9, 11, b"picture"),))
    file = TileFile.open(path)

    assert file.picture(4, 9, 4) == b"picture"
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
