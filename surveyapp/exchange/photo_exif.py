"""Where, when and which way a photo was taken, as its EXIF data tell.

Source: Exif 2.32 (CIPA DC-008-2019), GPS attribute information, tags as named there; from
memory. Only the file's header is read: no pixel is decoded and the file is never written.
What the tags say wrongly or leave open becomes a doubt, never a guess.
"""

from __future__ import annotations

import math
import struct
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from pathlib import Path
from typing import Any

from PIL import ExifTags, Image

from surveyapp.errors import FormatError
from surveyapp.model import NorthReference

PICTURE_KINDS = ("JPEG", "PNG", "MPO")  # what a notebook keeps, and the phone build decodes
CLOCKS_AGREE = timedelta(minutes=2)  # camera and satellite time, before a doubt is told
FIRST_YEAR = 2000  # before any phone with a camera and a position: a clock never set
_GPS, _BASE = ExifTags.GPS, ExifTags.Base
_HEIF_BRANDS = {b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avif"}
_OFFSET_LENGTH = 6  # '+02:00'


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoFacts:
    """What a photo's EXIF data tell; None where they do not tell it, or not credibly.

    `local_time` is the camera's own clock where no offset from UTC is known, and
    `direction_reference` is None where the data do not say which north was meant.
    """

    lat_deg: float | None = None
    lon_deg: float | None = None
    position_sigma_m: float | None = None
    time_utc: datetime | None = None
    local_time: datetime | None = None
    direction_deg: float | None = None
    direction_reference: NorthReference | None = None
    doubts: tuple[str, ...] = ()


def read_photo(path: Path, time_zone: tzinfo | None = None) -> PhotoFacts:
    """The facts of a JPEG or PNG file; `time_zone` serves clocks without an offset.

    Raises FormatError for a file that is no such picture or is damaged in its header.
    """
    base, camera, satellite = _tags(path)
    doubts: list[str] = []
    lat_deg, lon_deg = _position(satellite, doubts)
    time_utc, local_time = _times(base, camera, satellite, time_zone, doubts)
    direction_deg, reference = _direction(satellite, doubts)
    error_m = _number(satellite.get(_GPS.GPSHPositioningError))
    return PhotoFacts(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        position_sigma_m=error_m if lat_deg is not None and error_m and error_m > 0 else None,
        time_utc=time_utc,
        local_time=local_time,
        direction_deg=direction_deg,
        direction_reference=reference,
        doubts=tuple(doubts),
    )


def _tags(path: Path) -> tuple[Mapping[int, Any], Mapping[int, Any], Mapping[int, Any]]:
    """The picture's own tags, the camera's and the satellite receiver's."""
    try:
        with warnings.catch_warnings():
            # Pillow warns of large pictures and odd tags; neither matters to a header.
            warnings.simplefilter("ignore")
            with Image.open(path, formats=PICTURE_KINDS) as picture:
                exif = _exif(picture)
                return (
                    dict(exif),
                    dict(exif.get_ifd(ExifTags.IFD.Exif)),
                    dict(exif.get_ifd(ExifTags.IFD.GPSInfo)),
                )
    except Image.DecompressionBombError as error:
        raise FormatError(f"{path} is a picture too large to use.", path=str(path)) from error
    except (OSError, ValueError, SyntaxError, LookupError, TypeError, struct.error) as error:
        if isinstance(error, OSError) and error.strerror:
            raise FormatError(
                f"{path} cannot be read: {error.strerror}.", path=str(path)
            ) from error
        raise _no_picture(path) from error


def _no_picture(path: Path) -> FormatError:
    """What a file that Pillow cannot read is, as far as its first bytes tell.

    HEIC and AVIF are ISO base media files (ISO/IEC 23008-12): a box 'ftyp' with their brand. The
    phone's build carries no library that reads them.
    """
    with open(path, "rb") as file:
        head = file.read(16)
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
        what = "is a HEIC picture, which is not read here: let the camera write JPEG, or export it"
    elif head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        what = "is a WebP picture, which is not kept here: export it"
    else:
        what = "is no JPEG or PNG picture, or is damaged: export it"
    return FormatError(f"{path} {what} as JPEG.", path=str(path))


def _exif(picture: Image.Image) -> Image.Exif:
    """The tags in the file's head; Pillow would decode a whole PNG to look for them behind it."""
    if picture.format == "PNG" and not {"exif", "Raw profile type exif"} & set(picture.info):
        return Image.Exif()
    return picture.getexif()


def _position(tags: Mapping[int, Any], doubts: list[str]) -> tuple[float | None, float | None]:
    lat_deg = _angle(tags.get(_GPS.GPSLatitude), tags.get(_GPS.GPSLatitudeRef), "N", "S", 90.0)
    lon_deg = _angle(tags.get(_GPS.GPSLongitude), tags.get(_GPS.GPSLongitudeRef), "E", "W", 180.0)
    if lat_deg is None or lon_deg is None:
        if _GPS.GPSLatitude in tags or _GPS.GPSLongitude in tags:
            doubts.append("The photo's position is incomplete or no place on Earth.")
        return None, None
    if lat_deg == lon_deg == 0.0:
        doubts.append("The photo's position is 0, 0, which cameras write when they have none.")
        return None, None
    if _text(tags.get(_GPS.GPSStatus)) == "V":
        doubts.append("The camera had lost its position fix when the photo was taken.")
    return lat_deg, lon_deg


def _angle(value: Any, reference: Any, plus: str, minus: str, most: float) -> float | None:
    """Signed degrees of degrees, minutes and seconds with their letter; None if impossible."""
    letter = _text(reference)[:1].upper()
    parts = [_number(part) for part in value] if isinstance(value, tuple | list) else []
    if letter not in (plus, minus) or len(parts) != 3:
        return None
    degrees, minutes, seconds = parts
    if degrees is None or minutes is None or seconds is None:
        return None
    if min(degrees, minutes, seconds) < 0 or minutes >= 60 or seconds >= 60:
        return None
    angle_deg = degrees + minutes / 60.0 + seconds / 3600.0
    if angle_deg > most:
        return None
    return angle_deg if letter == plus else -angle_deg


def _direction(
    tags: Mapping[int, Any], doubts: list[str]
) -> tuple[float | None, NorthReference | None]:
    if _GPS.GPSImgDirection not in tags:
        return None, None
    direction_deg = _number(tags[_GPS.GPSImgDirection])
    if direction_deg is None or not 0.0 <= direction_deg <= 360.0:
        doubts.append("The photo's direction is no angle from 0 to 360 degrees.")
        return None, None
    letter = _text(tags.get(_GPS.GPSImgDirectionRef))[:1].upper()
    reference = {"T": NorthReference.TRUE, "M": NorthReference.MAGNETIC}.get(letter)
    if reference is None:
        doubts.append("The photo does not say whether its direction is magnetic or true.")
    return direction_deg % 360.0, reference


def _times(
    base: Mapping[int, Any],
    camera: Mapping[int, Any],
    satellite: Mapping[int, Any],
    time_zone: tzinfo | None,
    doubts: list[str],
) -> tuple[datetime | None, datetime | None]:
    """UTC, and the camera's own clock where nothing tells its offset."""
    local = _clock(camera.get(_BASE.DateTimeOriginal) or base.get(_BASE.DateTime))
    from_satellite = _satellite_time(satellite)
    zone = _offset(camera.get(_BASE.OffsetTimeOriginal)) or time_zone
    if local is not None and local.year < FIRST_YEAR:
        doubts.append(f"The camera's clock said {local:%Y-%m-%d}: it was never set.")
        local = None
    by_camera = local.replace(tzinfo=zone).astimezone(UTC) if local and zone else None
    if by_camera and from_satellite and abs(by_camera - from_satellite) > CLOCKS_AGREE:
        minutes = abs(by_camera - from_satellite) / timedelta(minutes=1)
        doubts.append(f"The camera's clock and the satellite time differ by {minutes:.0f} minutes.")
    time_utc = by_camera or from_satellite
    return time_utc, local if time_utc is None else None


def _clock(value: Any) -> datetime | None:
    try:
        return datetime.strptime(_text(value), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _satellite_time(tags: Mapping[int, Any]) -> datetime | None:
    """Date and time stamp of the position, which Exif defines as UTC."""
    clock = tags.get(_GPS.GPSTimeStamp)
    parts = [_number(part) for part in clock] if isinstance(clock, tuple | list) else []
    try:
        day = datetime.strptime(_text(tags.get(_GPS.GPSDateStamp)), "%Y:%m:%d")
        hours, minutes, seconds = (part for part in parts if part is not None)
    except ValueError:
        return None
    if day.year < FIRST_YEAR or not 0 <= hours < 24 or not 0 <= minutes < 60:
        return None
    if not 0 <= seconds < 61:
        return None
    whole = timedelta(hours=int(hours), minutes=int(minutes), seconds=int(seconds))
    return day.replace(tzinfo=UTC) + whole


def _offset(value: Any) -> tzinfo | None:
    """'+02:00' as a time zone."""
    text = _text(value)
    try:
        if len(text) != _OFFSET_LENGTH:
            return None
        return timezone(datetime.strptime(text, "%z").utcoffset() or timedelta())
    except ValueError:
        return None


def _text(value: Any) -> str:
    """An ASCII tag's text; its closing NUL and blanks are no part of it."""
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return value.strip("\0 ") if isinstance(value, str) else ""


def _number(value: Any) -> float | None:
    """A rational as a finite number; a zero denominator means unknown."""
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) else None
