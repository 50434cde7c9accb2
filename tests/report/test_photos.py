"""Photos on the page: small, upright, and bare of everything but what they show."""

from __future__ import annotations

import base64
import io

import pytest
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from surveyapp.errors import FormatError
from surveyapp.report.photos import LONGEST_PX, page_photo


def picture(width: int = 400, height: int = 300, turned: int = 1, **more: object) -> bytes:
    """A JPEG whose upper left quarter is red, with a camera, a place and a comment in it."""
    image = Image.new("RGB", (width, height), "white")
    image.paste((200, 0, 0), (0, 0, width // 2, height // 2))
    exif = Image.Exif()
    exif[Base.Orientation] = turned
    exif[Base.Make] = "Maker of phones"
    exif.get_ifd(IFD.GPSInfo).update({GPS.GPSLatitudeRef: "N", GPS.GPSLatitude: (60.0, 10.0, 9.0)})
    held = io.BytesIO()
    image.save(held, "JPEG", exif=exif, comment=b"at my front door", quality=95)
    return held.getvalue() + b"hidden behind the picture"


def decoded(uri: str) -> tuple[bytes, Image.Image]:
    """The bytes of a data URI, and the picture in them."""
    content = base64.b64decode(uri.partition(",")[2])
    return content, Image.open(io.BytesIO(content)).convert("RGB")


def test_nothing_of_the_old_file_comes_along() -> None:
    """No camera, no place, no comment, nothing that stood behind the picture."""
    content, _ = decoded(page_photo(picture()).uri)

    with Image.open(io.BytesIO(content)) as read:
        assert dict(read.getexif()) == {}
        assert set(read.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for trace in (b"Maker", b"front door", b"hidden", b"Exif"):
        assert trace not in content


@pytest.mark.parametrize(("turned", "corner"), [(1, (0, 0)), (3, (1, 1)), (6, (1, 0)), (8, (0, 1))])
def test_a_photo_stands_upright(turned: int, corner: tuple[int, int]) -> None:
    """The way the phone was held (Exif 2.32, tag 274) is put into the picture itself."""
    told = page_photo(picture(turned=turned))
    _, image = decoded(told.uri)

    assert image.size == (told.width_px, told.height_px)
    x, y = (int(size * (0.25 + 0.5 * side)) for size, side in zip(image.size, corner, strict=True))
    red, green, _ = image.getpixel((x, y))  # type: ignore[misc]
    assert red > 150 > green


def test_a_large_photo_is_made_small() -> None:
    """Wide enough for a page, no more."""
    told = page_photo(picture(4000, 3000))

    assert (told.width_px, told.height_px) == (LONGEST_PX, LONGEST_PX * 3 // 4)


def test_what_is_no_picture_is_named() -> None:
    """A damaged file is a sentence, not a broken page."""
    with pytest.raises(FormatError, match="cannot be read"):
        page_photo(b"not a picture")
    with pytest.raises(FormatError, match="cannot be read"):
        page_photo(picture()[:400])
