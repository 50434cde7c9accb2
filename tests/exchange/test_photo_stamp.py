"""What is written into our own pictures, read back by exiftool, an independent program."""

from __future__ import annotations

import io
import json
import shutil
import struct
import subprocess
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from surveyapp.errors import FormatError, InvalidValue
from surveyapp.exchange.photo_exif import read_photo
from surveyapp.exchange.photo_stamp import Stamp, stamped
from surveyapp.model import NorthReference

WHEN = datetime(2026, 5, 4, 12, 3, 4, tzinfo=UTC)
STAMP = Stamp(
    time_utc=WHEN.astimezone(timezone(timedelta(hours=3))), lat_deg=-33.8567844,
    lon_deg=-70.6482885, position_sigma_m=4.5, direction_deg=271.5,
)  # fmt: skip
ONE_CENTIMETRE_DEG = 1e-7


def jpeg(exif: Image.Exif | None = None) -> bytes:
    """A small picture as a camera would hand it over."""
    held = io.BytesIO()
    noise = Image.effect_noise((64, 48), 80.0)
    noise.save(held, "JPEG", **({"exif": exif} if exif else {}))
    return held.getvalue()


def scan(content: bytes) -> bytes:
    """Everything from the frame header on: what makes the picture."""
    return content[content.index(b"\xff\xc0") :]


def told(content: bytes, path: Path) -> dict[str, Any]:
    """What exiftool finds."""
    path.write_bytes(content)
    done = subprocess.run(
        ["exiftool", "-j", "-n", "-a", str(path)],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: dict[str, Any] = json.loads(done.stdout)[0]
    return found


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="needs exiftool")
def test_exiftool_reads_the_stamp_and_finds_nothing_wrong(tmp_path: Path) -> None:
    """Position, its error, direction by true north, and the time in UTC."""
    found = told(stamped(jpeg(), STAMP), tmp_path / "photo.jpg")

    assert found["GPSLatitude"] == pytest.approx(-33.8567844, abs=ONE_CENTIMETRE_DEG)
    assert found["GPSLongitude"] == pytest.approx(-70.6482885, abs=ONE_CENTIMETRE_DEG)
    assert found["GPSDateTime"] == "2026:05:04 12:03:04Z"
    assert (found["GPSImgDirection"], found["GPSImgDirectionRef"]) == (271.5, "T")
    assert found["GPSHPositioningError"] == 4.5
    assert not {"Warning", "Error"} & set(found)


def test_the_picture_itself_is_unchanged_and_reads_back(tmp_path: Path) -> None:
    """Byte for byte from the frame header on; our own reader agrees, magnetic north too."""
    plain = jpeg()
    path = tmp_path / "photo.jpg"
    magnetic = Stamp(
        time_utc=WHEN, lat_deg=60.17, lon_deg=24.94, direction_deg=359.999,
        direction_reference=NorthReference.MAGNETIC,
    )  # fmt: skip
    path.write_bytes(stamped(plain, magnetic))
    facts = read_photo(path)

    assert scan(path.read_bytes()) == scan(plain)
    assert facts.lat_deg == pytest.approx(60.17, abs=ONE_CENTIMETRE_DEG)
    assert facts.time_utc == WHEN
    assert (facts.direction_deg, facts.direction_reference) == (0.0, NorthReference.MAGNETIC)
    assert facts.doubts == ()


def test_the_cameras_own_tags_stay(tmp_path: Path) -> None:
    """Its model and time are kept, and where it knew its place and direction nothing is changed."""
    exif = Image.Exif()
    exif[Base.Model] = "Invented 1"
    exif.get_ifd(IFD.Exif)[Base.DateTimeOriginal] = "2026:05:04 15:00:00"
    once = stamped(jpeg(exif), STAMP)
    with Image.open(io.BytesIO(once)) as picture:
        kept = picture.getexif()

        assert kept[Base.Model] == "Invented 1"
        assert kept.get_ifd(IFD.Exif)[Base.DateTimeOriginal] == "2026:05:04 15:00:00"
        assert kept.get_ifd(IFD.GPSInfo)[GPS.GPSLatitudeRef] == "S"
    assert once.count(b"Exif\0\0") == 1
    assert stamped(once, Stamp(time_utc=WHEN, lat_deg=1.0, lon_deg=1.0, direction_deg=1.0)) == once


def test_nothing_known_writes_nothing() -> None:
    """Half a position is no position."""
    plain = jpeg()

    assert stamped(plain, Stamp(time_utc=WHEN)) == plain
    assert stamped(plain, Stamp(time_utc=WHEN, lat_deg=60.0)) == plain


def test_what_is_no_jpeg_or_has_no_room_is_refused() -> None:
    """PNG, torn bytes, a full block, a time without zone."""
    held = io.BytesIO()
    Image.new("RGB", (8, 8)).save(held, "PNG")
    for content in (held.getvalue(), b"", b"\xff\xd8\xff", jpeg()[:30]):
        with pytest.raises(FormatError, match="nothing was written"):
            stamped(content, STAMP)
    full = Image.Exif()
    full[Base.ImageDescription] = "x" * 65_400
    with pytest.raises(FormatError, match="full"):
        stamped(jpeg(full), STAMP)
    with pytest.raises(InvalidValue, match="zone"):
        stamped(jpeg(), Stamp(time_utc=WHEN.replace(tzinfo=None)))


def test_other_segments_stay_in_their_order() -> None:
    """A comment and a foreign APP1 block are none of ours."""
    plain = jpeg()
    foreign = struct.pack(">BBH", 0xFF, 0xE1, 8) + b"http\0\0"
    content = plain[:2] + foreign + plain[2:]

    assert foreign + plain[2:] == stamped(content, STAMP)[-len(foreign + plain[2:]) :]
