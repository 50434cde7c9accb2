"""One row of every kind with a real picture, and the demo, as contents to write."""

from __future__ import annotations

import hashlib
import io
from dataclasses import replace
from pathlib import Path

from PIL import Image

from surveyapp.exchange.content import Content
from surveyapp.model import Photo, Row
from tests.store.one_of_each import ROWS

SECRET_COMMENT = b"taken at the kitchen table"


def picture_with_facts() -> bytes:
    """A JPEG that tells where and when it was taken, with more behind its end."""
    exif = Image.Exif()
    exif[0x010F] = "SecretMaker"
    exif[0x9003] = "2026:05:04 12:34:56"
    exif[0x0112] = 6  # lies on its side
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2] = "N", (60.0, 10.0, 13.8)
    gps[3], gps[4] = "E", (24.0, 56.0, 25.8)
    held = io.BytesIO()
    Image.new("RGB", (64, 48), "navy").save(held, "JPEG", exif=exif, comment=SECRET_COMMENT)
    return held.getvalue() + b"TRAILING SECRET"


def one_of_each(folder: Path, rows: tuple[Row, ...] = ROWS) -> Content:
    """The rows, their photo naming a picture that lies in `folder`."""
    content = picture_with_facts()
    name = f"{hashlib.sha256(content).hexdigest()}.jpg"
    (folder / name).write_bytes(content)
    named = [replace(row, file=name) if isinstance(row, Photo) else row for row in rows]
    return Content(rows=named, pictures={name: folder / name})
