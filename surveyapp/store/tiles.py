"""Pictures of the ground cut into squares, read from an MBTiles file (MBTiles 1.3, raster).

The file is opened for reading only and never changed; nothing is fetched from a network.
Whoever made it may have put anything in it: time, sizes and pixels are bounded.
"""

from __future__ import annotations

import io
import sqlite3
import time
import warnings
from contextlib import closing
from pathlib import Path
from typing import Self

from surveyapp.errors import FormatError

PICTURES = {"png": "png", "jpg": "jpg", "jpeg": "jpg", "webp": "webp"}
HIGHEST_ZOOM = 30  # the format numbers squares up to 2**30 a side
MOST_BYTES = 10_000_000  # of a value or a square
MOST_FACTS = 1_000
MOST_SIDE_PX = 4_096  # squares have 256 or 512
LONGEST_S = 4.0  # squares may come out of a view, and that may compute for ever
_STEPS = 100_000  # of SQLite's machine between two looks at the clock


class TileFile:
    """An open MBTiles file: its zooms, the picture format and the attribution to show."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_BYTES)
        self._rows("PRAGMA trusted_schema = OFF", ())
        told = {
            str(name): str(value)
            for name, value in self._rows("SELECT name, value FROM metadata LIMIT ?", (MOST_FACTS,))
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
        if not 0 <= low <= high <= HIGHEST_ZOOM:
            raise self._refused(f"holds squares of no zoom from 0 to {HIGHEST_ZOOM}")
        self.zooms = (low, high)

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
        """The picture of a square, its row counted from the north; None where there is none, or
        none that is sound and of as many pixels as a square may have. Raises FormatError where
        the file is damaged there."""
        turned = 2**zoom - 1 - row  # the format counts rows from the south
        found = self._rows(
            "SELECT tile_data FROM tiles WHERE zoom_level = ? AND tile_column = ? AND tile_row = ?",
            (zoom, column, turned),
        )
        content = found[0][0] if found else None
        if not isinstance(content, bytes) or _claims_too_much(content, self.kind):
            return None
        return content

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def _rows(self, sql: str, values: tuple[int, ...]) -> list[tuple[object, ...]]:
        until = time.monotonic() + LONGEST_S
        self._connection.set_progress_handler(lambda: time.monotonic() > until, _STEPS)
        try:
            with closing(self._connection.execute(sql, values)) as cursor:
                return cursor.fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            if time.monotonic() > until:
                raise self._refused("takes too long to answer") from error
            raise self._refused("is damaged, or no MBTiles file") from error

    def _refused(self, why: str) -> FormatError:
        return FormatError(f"{self.path.name} {why}: choose another file.", place=str(self.path))


def _claims_too_much(content: bytes, kind: str) -> bool:
    """Whether a picture's head is damaged or tells of more pixels than a square has: a decoder's
    memory follows the claim."""
    from PIL import Image, features

    if kind == "webp" and not features.check("webp"):
        return False
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("PNG", "JPEG", "WEBP")) as picture:
                return max(picture.size) > MOST_SIDE_PX
    except Exception:  # Pillow raises all sorts on hostile bytes, a bomb's size among them
        return True
