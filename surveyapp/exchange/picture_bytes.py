"""Pictures without anything but their pixels."""

from __future__ import annotations

import io
import warnings

from surveyapp.errors import FormatError

QUALITY = 92  # JPEG, hard to tell from the original
MOST_PIXELS = 120_000_000


def only_pixels(content: bytes) -> bytes:
    """A JPEG or PNG picture written anew: turned upright, and without EXIF, XMP, comments,
    colour profile, previews, or anything that stood behind it in the file.

    Raises FormatError where it is no such picture.
    """
    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("JPEG", "PNG")) as picture:
                if picture.width * picture.height > MOST_PIXELS:
                    raise FormatError("A picture is too large to be rewritten: leave it out.")
                kind = "PNG" if picture.format == "PNG" else "JPEG"
                upright = ImageOps.exif_transpose(picture)
                mode = _mode(upright.mode, kind)
                bare = Image.frombytes(mode, upright.size, upright.convert(mode).tobytes())
    except FormatError:
        raise
    except Exception as error:  # Pillow's decoders raise all sorts on torn bytes
        raise FormatError("A picture is damaged and cannot be rewritten: leave it out.") from error
    held = io.BytesIO()
    bare.save(held, kind, quality=QUALITY)
    return held.getvalue()


def _mode(mode: str, kind: str) -> str:
    """The plainest mode that keeps the picture's look."""
    if kind == "PNG" and ("A" in mode or mode == "P"):
        return "RGBA"
    return "L" if mode in ("L", "1") else "RGB"
