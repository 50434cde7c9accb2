"""Photos made fit for a page: small, upright, and without any metadata."""

from __future__ import annotations

import base64
import io
import warnings
from dataclasses import dataclass

from surveyapp.errors import FormatError

LONGEST_PX = 900
QUALITY = 78


@dataclass(frozen=True, slots=True)
class PagePhoto:
    """A picture as a data URI with its size in pixels."""

    uri: str
    width_px: int
    height_px: int


def page_photo(content: bytes, longest_px: int = LONGEST_PX) -> PagePhoto:
    """The picture decoded and encoded anew: nothing of the old file's metadata comes along.

    Raises FormatError for what is no whole picture.
    """
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # a picture that claims to be huge is refused
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as opened:
                opened.draft("RGB", (2 * longest_px, 2 * longest_px))
                upright = ImageOps.exif_transpose(opened).convert("RGB")
    except Exception as error:  # Pillow's decoders raise all sorts on torn bytes
        raise FormatError(f"A photo of this survey cannot be read: {error}.") from error
    upright.thumbnail((longest_px, longest_px))
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    held = io.BytesIO()
    bare.save(held, format="JPEG", quality=QUALITY, optimize=True)
    data = base64.b64encode(held.getvalue()).decode("ascii")
    return PagePhoto(f"data:image/jpeg;base64,{data}", *bare.size)
