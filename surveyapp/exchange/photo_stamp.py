"""Where, when and which way, written into a picture that this program itself has taken.

Only what the camera left open is added, only to a JPEG, and only its Exif block is written anew:
the picture's own data are not touched. Files that are brought in are never changed.
Source: Exif 2.32 (CIPA DC-008-2019), clause 4.5.4 (APP1) and GPS attribute information; from
memory. JPEG markers: ITU-T T.81 annex B, from memory.
"""

from __future__ import annotations

import io
import struct
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from typing import Any

from PIL import ExifTags, Image

from surveyapp.errors import FormatError, InvalidValue
from surveyapp.model import NorthReference

_GPS = ExifTags.GPS
_APP1, _SCAN = 0xE1, 0xDA
_EXIF = b"Exif\0\0"
_LONGEST = 65_533  # a segment's length counts itself and fits in 16 bits
_FINE = 10_000  # seconds of arc to 1/10,000: 3 mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Stamp:
    """What is known of a picture as it is taken; None where it is not."""

    time_utc: datetime
    lat_deg: float | None = None
    lon_deg: float | None = None
    position_sigma_m: float | None = None
    direction_deg: float | None = None
    direction_reference: NorthReference = NorthReference.TRUE


def stamped(content: bytes, stamp: Stamp) -> bytes:
    """The picture with the stamp in its Exif block.

    A position or a direction that the camera wrote is left as it is. Raises FormatError where
    the picture is no JPEG or leaves no room, InvalidValue for a time without its zone.
    """
    if stamp.time_utc.utcoffset() is None:
        raise InvalidValue("The picture's time needs a zone: give it in UTC.", value=stamp.time_utc)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(content), formats=("JPEG", "MPO")) as picture:
                exif = picture.getexif()
                satellite = exif.get_ifd(ExifTags.IFD.GPSInfo)
                if ExifTags.IFD.Exif in exif:
                    exif.get_ifd(ExifTags.IFD.Exif)  # read now, so that it is written again
                added = _tags(stamp, satellite)
                if not added:
                    return content
                satellite.update(added)
                block = _EXIF + exif.tobytes().removeprefix(_EXIF)
    except Exception as error:  # Pillow's decoders raise all sorts on torn bytes
        raise FormatError(
            "The picture is no whole JPEG, so nothing was written into it."
        ) from error
    if len(block) > _LONGEST:
        raise FormatError("The picture's Exif block is full, so nothing was written into it.")
    segment = struct.pack(">BBH", 0xFF, _APP1, len(block) + 2) + block
    return content[:2] + segment + b"".join(_without_exif(content))


def _tags(stamp: Stamp, there: dict[int, Any]) -> dict[int, Any]:
    """GPS tags to add: none that the camera has given by itself."""
    made: dict[int, Any] = {}
    if stamp.lat_deg is not None and stamp.lon_deg is not None and _GPS.GPSLatitude not in there:
        utc = stamp.time_utc.astimezone(UTC)
        made |= {
            _GPS.GPSLatitudeRef: "S" if stamp.lat_deg < 0 else "N",
            _GPS.GPSLatitude: _sexagesimal(stamp.lat_deg),
            _GPS.GPSLongitudeRef: "W" if stamp.lon_deg < 0 else "E",
            _GPS.GPSLongitude: _sexagesimal(stamp.lon_deg),
            _GPS.GPSMapDatum: "WGS-84",
            _GPS.GPSDateStamp: f"{utc:%Y:%m:%d}",
            _GPS.GPSTimeStamp: (Fraction(utc.hour), Fraction(utc.minute), Fraction(utc.second)),
        }
        if stamp.position_sigma_m is not None:
            made[_GPS.GPSHPositioningError] = Fraction(stamp.position_sigma_m).limit_denominator(
                100
            )
    if stamp.direction_deg is not None and _GPS.GPSImgDirection not in there:
        true = stamp.direction_reference is NorthReference.TRUE
        made[_GPS.GPSImgDirectionRef] = "T" if true else "M"
        made[_GPS.GPSImgDirection] = Fraction(
            round(stamp.direction_deg % 360.0 * 100) % 36_000, 100
        )
    if made:
        made[_GPS.GPSVersionID] = b"\x02\x03\x00\x00"
    return made


def _sexagesimal(angle_deg: float) -> tuple[Fraction, Fraction, Fraction]:
    """Degrees, minutes and seconds, rounded as a whole first, so that no 60 appears."""
    units = round(abs(angle_deg) * 3600 * _FINE)
    minutes, seconds = divmod(units, 60 * _FINE)
    degrees, minutes = divmod(minutes, 60)
    return Fraction(degrees), Fraction(minutes), Fraction(seconds, _FINE)


def _without_exif(content: bytes) -> Iterator[bytes]:
    """All after the start marker, but for Exif blocks; from the first scan on as it is."""
    place = 2
    while place + 4 <= len(content) and content[place] == 0xFF:
        kind, length = struct.unpack_from(">xBH", content, place)
        if kind == _SCAN:
            break
        segment = content[place : place + 2 + length]
        if kind != _APP1 or segment[4:10] != _EXIF:
            yield segment
        place += 2 + length
    yield content[place:]
