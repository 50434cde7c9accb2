"""Pictures of the ground cut into squares, read from an MBTiles file (MBTiles 1.3, raster).

The file is opened for reading only and never changed; nothing is fetched from a network.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Self

from surveyapp.errors import FormatError

PICTURES = {"png": "png", "jpg": "jpg", "jpeg": "jpg", "webp": "webp"}
HIGHEST_ZOOM = 30  # the format numbers squares up to 2**30 a side


class TileFile:
    """An open MBTiles file: its zooms, the picture format and the attribution to show."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection
        told = {
            str(name): str(value)
            for name, value in self._rows("SELECT name, value FROM metadata", ())
        }
        kind = told.get("format", "png").lower()
        if kind not in PICTURES:
            raise self._refused(
                f"holds squares of the kind '{kind}'; only pictures (png, jpg, webp) can be drawn"
            )
        self.kind = PICTURES[kind]
        self.name = told.get("name", path.name)
        self.attribution = told.get("attribution", "")
        ((low, high),) = self._rows("SELECT min(zoom_level), max(zoom_level) FROM tiles", ())
        if not isinstance(low, int) or not isinstance(high, int):
            raise self._refused("holds no squares")
        self.zooms = (max(low, 0), min(high, HIGHEST_ZOOM))

    @classmethod
    def open(cls, path: Path | str) -> Self:
        """Open a file. Raises FormatError, in one sentence, where it is none or is damaged."""
        place = Path(path)
        if not place.is_file():
            raise FormatError(f"There is no file {place}: choose the picture file again.")
        try:
            connection = sqlite3.connect(f"{place.resolve().as_uri()}?mode=ro", uri=True)
        except sqlite3.Error as error:
            raise FormatError(f"{place.name} cannot be opened: {error}.") from error
        try:
            return cls(place, connection)
        except FormatError:
            connection.close()
            raise

    def picture(self, zoom: int, column: int, row: int) -> bytes | None:
        """The picture of a square, its row counted from the north; None where there is none."""
        turned = 2**zoom - 1 - row  # the format counts rows from the south
        found = self._rows(
            "SELECT tile_data FROM tiles WHERE zoom_level = ? AND tile_column = ? AND tile_row = ?",
            (zoom, column, turned),
        )
        return bytes(found[0][0]) if found and isinstance(found[0][0], bytes) else None

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def _rows(self, sql: str, values: tuple[int, ...]) -> list[tuple[object, ...]]:
        try:
            with closing(self._connection.execute(sql, values)) as cursor:
                return cursor.fetchall()
        except sqlite3.Error as error:
            raise self._refused("is damaged, or no MBTiles file") from error

    def _refused(self, why: str) -> FormatError:
        return FormatError(f"{self.path.name} {why}: choose another file.", place=str(self.path))
