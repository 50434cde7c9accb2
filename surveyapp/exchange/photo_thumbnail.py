"""A picture made small for a list, upright as its EXIF data say; its file is only read."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

from surveyapp.errors import FormatError
from surveyapp.exchange.photo_exif import PICTURE_KINDS

SIDE_PX = 112
MOST_PIXELS = 120_000_000  # a decoder's memory follows what the header claims


@dataclass(frozen=True, kw_only=True, slots=True)
class Thumbnail:
    """Pixels in RGB, a byte a colour, rows from the top."""

    width_px: int
    height_px: int
    pixels: bytes


def thumbnail(path: Path, side_px: int = SIDE_PX) -> Thumbnail:
    """The picture within a square of `side_px`, decoded no larger than it must be.

    Raises FormatError where it is too large, damaged, or no JPEG or PNG.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=PICTURE_KINDS) as picture:
                if picture.width * picture.height > MOST_PIXELS:
                    raise Image.DecompressionBombError
                picture.draft("RGB", (2 * side_px, 2 * side_px))
                picture.load()
                picture.thumbnail((side_px, side_px))
                small = ImageOps.exif_transpose(picture).convert("RGB")
    except Image.DecompressionBombError:
        raise FormatError(f"{path} is a picture too large to use.", path=str(path)) from None
    except Exception as error:  # Pillow's decoders raise all sorts on torn or hostile bytes
        raise FormatError(
            f"{path} is damaged and cannot be shown: choose another copy.", path=str(path)
        ) from error
    return Thumbnail(width_px=small.width, height_px=small.height, pixels=small.tobytes())
