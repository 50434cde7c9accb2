"""EXIF data written by exiftool, an independent program, and absurd ones written by Pillow."""

from __future__ import annotations

import hashlib
import shutil
import struct
import subprocess
import zlib
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from surveyapp.errors import FormatError
from surveyapp.exchange.photo_exif import PhotoFacts, read_photo
from surveyapp.model import NorthReference

ten_centimetres_deg = 1e-6
HELSINKI = ZoneInfo("Europe/Helsinki")


def picture(folder: Path, name: str = "photo.jpg", **exif: Any) -> Path:
    """A small picture, saved with what `exif` gives."""
    path = folder / name
    Image.new("RGB", (32, 24), "white").save(path, **exif)
    return path


def with_tags(
    folder: Path, satellite: dict[int, Any], camera: dict[int, Any] | None = None
) -> Path:
    """A picture with the given GPS and camera tags, right or wrong."""
    exif = Image.Exif()
    exif.get_ifd(IFD.GPSInfo).update(satellite)
    exif.get_ifd(IFD.Exif).update(camera or {})
    return picture(folder, exif=exif)


def degrees(whole: int, minutes: int, seconds: float) -> tuple[Any, ...]:
    """Three rationals, as Exif wants them."""
    return (Fraction(whole), Fraction(minutes), Fraction(seconds).limit_denominator(1000))


HERE = {
    GPS.GPSLatitudeRef: "N", GPS.GPSLatitude: degrees(60, 10, 11.64),
    GPS.GPSLongitudeRef: "E", GPS.GPSLongitude: degrees(24, 56, 18.24),
}  # fmt: skip


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="needs exiftool")
@pytest.mark.parametrize(
    ("letter", "reference"), [("T", NorthReference.TRUE), ("M", NorthReference.MAGNETIC)]
)
@pytest.mark.parametrize("name", ["photo.jpg", "photo.png"])
def test_what_exiftool_writes_is_read_and_the_file_stays_as_it_was(
    tmp_path: Path, name: str, letter: str, reference: NorthReference
) -> None:
    """Southern and western signs, direction with its north, offset, position error."""
    path = picture(tmp_path, name)
    subprocess.run(
        ["exiftool", "-q", "-overwrite_original", "-n",
         "-GPSLatitude=-33.8567844", "-GPSLatitudeRef=S",
         "-GPSLongitude=-70.6482885", "-GPSLongitudeRef=W",
         "-GPSImgDirection=271.5", f"-GPSImgDirectionRef={letter}", "-GPSHPositioningError=4.5",
         "-DateTimeOriginal=2026:06:01 14:30:05", "-OffsetTimeOriginal=-04:00",
         "-GPSDateStamp=2026:06:01", "-GPSTimeStamp=18:30:04", str(path)],
        check=True,
    )  # fmt: skip
    before = hashlib.sha256(path.read_bytes()).hexdigest()

    facts = read_photo(path)

    assert facts.lat_deg == pytest.approx(-33.8567844, abs=ten_centimetres_deg)
    assert facts.lon_deg == pytest.approx(-70.6482885, abs=ten_centimetres_deg)
    assert (facts.direction_deg, facts.direction_reference) == (271.5, reference)
    assert facts.position_sigma_m == 4.5
    assert facts.time_utc == datetime(2026, 6, 1, 18, 30, 5, tzinfo=UTC)
    assert facts.doubts == ()
    assert hashlib.sha256(path.read_bytes()).hexdigest() == before


def test_a_picture_without_exif_has_no_facts_and_no_doubts(tmp_path: Path) -> None:
    """Most pictures sent by messengers have lost their data; that is no fault."""
    assert read_photo(picture(tmp_path)) == PhotoFacts()
    assert read_photo(picture(tmp_path, "photo.png")) == PhotoFacts()


@pytest.mark.parametrize(
    ("change", "doubt"),
    [
        ({GPS.GPSLatitude: degrees(95, 0, 0)}, "no place on Earth"),
        ({GPS.GPSLatitude: degrees(60, 75, 0)}, "no place on Earth"),
        ({GPS.GPSLatitudeRef: ""}, "incomplete"),
        ({GPS.GPSLongitude: (24.0, 56.0)}, "incomplete"),
        ({GPS.GPSLatitude: degrees(0, 0, 0), GPS.GPSLongitude: degrees(0, 0, 0)}, "0, 0"),
    ],
)
def test_an_absurd_position_becomes_a_doubt(tmp_path: Path, change: dict, doubt: str) -> None:
    """No hemisphere is guessed and nothing is clipped into range."""
    facts = read_photo(with_tags(tmp_path, HERE | change))

    assert (facts.lat_deg, facts.lon_deg) == (None, None)
    assert len(facts.doubts) == 1
    assert doubt in facts.doubts[0]


def test_a_position_whose_fix_was_lost_is_kept_with_a_doubt(tmp_path: Path) -> None:
    """Status V means that the receiver wrote where it had been, not where it is."""
    facts = read_photo(with_tags(tmp_path, HERE | {GPS.GPSStatus: "V"}))

    assert facts.lat_deg == pytest.approx(60.1699, abs=ten_centimetres_deg)
    assert "lost its position" in facts.doubts[0]


@pytest.mark.parametrize(
    ("direction", "letter", "expected", "doubts"),
    [
        (360.0, "T", 0.0, 0),
        (359.5, "", 359.5, 1),
        (359.5, "X", 359.5, 1),
        (400.0, "T", None, 1),
    ],
)
def test_a_direction_is_never_given_a_north_it_does_not_state(
    tmp_path: Path, direction: float, letter: str, expected: float | None, doubts: int
) -> None:
    """360 is north; a missing letter leaves the reference open; 400 is no angle."""
    tags = {GPS.GPSImgDirection: direction, GPS.GPSImgDirectionRef: letter}

    facts = read_photo(with_tags(tmp_path, tags))

    assert facts.direction_deg == expected
    assert (facts.direction_reference is NorthReference.TRUE) is (doubts == 0)
    assert len(facts.doubts) == doubts


def test_a_clock_without_offset_needs_the_surveys_time_zone(tmp_path: Path) -> None:
    """Summer time counts; without a zone the camera's own clock is all there is."""
    path = with_tags(tmp_path, {}, {Base.DateTimeOriginal: "2026:07:01 12:00:00"})

    assert read_photo(path).time_utc is None
    assert read_photo(path).local_time == datetime(2026, 7, 1, 12)
    assert read_photo(path, HELSINKI).time_utc == datetime(2026, 7, 1, 9, tzinfo=UTC)


def test_the_satellites_time_serves_where_the_camera_has_none(tmp_path: Path) -> None:
    """Exif defines the position's stamp as UTC."""
    tags = {GPS.GPSDateStamp: "2026:07:01", GPS.GPSTimeStamp: degrees(9, 0, 7.25)}

    assert read_photo(with_tags(tmp_path, tags)).time_utc == datetime(
        2026, 7, 1, 9, 0, 7, tzinfo=UTC
    )


def test_two_clocks_that_disagree_are_told(tmp_path: Path) -> None:
    """A phone's clock an hour off would sort the photo to another stop."""
    path = with_tags(
        tmp_path,
        {GPS.GPSDateStamp: "2026:07:01", GPS.GPSTimeStamp: degrees(9, 0, 0)},
        {Base.DateTimeOriginal: "2026:07:01 11:00:00", Base.OffsetTimeOriginal: "+03:00"},
    )

    facts = read_photo(path)

    assert facts.time_utc == datetime(2026, 7, 1, 8, tzinfo=UTC)
    assert "differ by 60 minutes" in facts.doubts[0]


@pytest.mark.parametrize(
    "clock", ["0000:00:00 00:00:00", "2026:13:01 12:00:00", "yesterday", "", "1970:01:01 00:00:00"]
)
def test_a_clock_that_was_never_set_gives_no_time(tmp_path: Path, clock: str) -> None:
    """Impossible dates are none, and 1970 is told as a doubt."""
    facts = read_photo(with_tags(tmp_path, {}, {Base.DateTimeOriginal: clock}), HELSINKI)

    assert (facts.time_utc, facts.local_time) == (None, None)
    assert len(facts.doubts) == clock.startswith("1970")


def test_other_files_are_refused_in_one_sentence(tmp_path: Path) -> None:
    """Text, an empty file, a missing one, and a picture cut off in its header."""
    whole = picture(tmp_path).read_bytes()
    for name, content in (("a.jpg", b""), ("b.jpg", b"Mill Street"), ("c.jpg", whole[:3])):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(FormatError, match=r"(JPEG|cannot be read)") as caught:
            read_photo(tmp_path / name)
        assert caught.value.path.endswith(name)
    with pytest.raises(FormatError, match="No such file"):
        read_photo(tmp_path / "none.jpg")


def test_a_picture_of_60000_by_60000_is_refused_unread(tmp_path: Path) -> None:
    """A header of a few bytes may claim ten gigabytes of pixels."""
    chunks = (
        (b"IHDR", struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)),
        (b"IDAT", zlib.compress(b"")),
    )
    path = tmp_path / "huge.png"
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + b"".join(
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
            for kind, data in chunks
        )
    )

    with pytest.raises(FormatError, match="too large"):
        read_photo(path)


def test_exif_with_a_loop_or_damage_never_crashes(tmp_path: Path) -> None:
    """Each byte of the tags turned over in turn: facts, doubts or a refusal, nothing else."""
    whole = with_tags(tmp_path, HERE, {Base.DateTimeOriginal: "2026:07:01 12:00:00"}).read_bytes()
    start = whole.index(b"Exif")
    path = tmp_path / "damaged.jpg"
    readable = 0
    for place in range(start, whole.index(b"\xff\xdb")):
        for value in (0x00, 0x1A, 0xFF):
            path.write_bytes(whole[:place] + bytes([value]) + whole[place + 1 :])
            try:
                facts = read_photo(path, HELSINKI)
            except FormatError:
                continue
            readable += 1
            assert facts.lat_deg is None or -90 <= facts.lat_deg <= 90

    assert readable > 100
