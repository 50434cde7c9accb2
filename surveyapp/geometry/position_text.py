"""Positions as a person types or pastes them.

Reading is strict: what is not plainly one position is refused, never turned into another.
"""

from __future__ import annotations

import re

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.geo_uri import SCHEME, parse_geo_uri

LONGEST = 80
_POSITION = "a position", "60.1699, 24.9384 or 60,1699; 24,9384 or 60°10'11.6\"N 24°56'18.2\"E"
_LATITUDE = "a latitude", "60.1699, 60,1699 or 60°10'11.6\"N"
_LONGITUDE = "a longitude", "24.9384, 24,9384 or 24°56'18.2\"E"
_PLAIN = str.maketrans({"−": "-", "º": "°", "′": "'", "’": "'", "″": '"', "”": '"'})
_DECIMAL = r"\d+(?:\.\d+)?"
_ANGLE = re.compile(
    rf"""(?P<before>[NSEW])?\s*(?P<sign>[+-])?(?P<degrees>{_DECIMAL})\s*°?
    (?:(?<=[\s°])\s*(?P<minutes>{_DECIMAL})\s*'?
    (?:(?<=[\s'])\s*(?P<seconds>{_DECIMAL})\s*(?:"|'')?)?)?
    \s*(?P<after>[NSEW])?""",
    re.ASCII | re.VERBOSE,
)
_LETTERED = re.compile(  # the letters part the halves, so that a comma among digits is a decimal
    r"([^NSEW]+[NS])\s*,?\s*([^NSEW,\s][^NSEW]*[EW])|([NS][^NSEW]*[^NSEW,\s])\s*,?\s*([EW][^NSEW]+)"
)


def parse_position(text: str) -> tuple[float, float]:
    """(lat_deg, lon_deg) of a typed position, latitude first.

    Decimal degrees apart by a comma or blanks (60.1699, 24.9384), decimal commas apart by a
    semicolon (60,1699; 24,9384), degrees, minutes and seconds with N, S, E or W, or a geo: URI.
    Raises InvalidValue for anything else and OutOfRange for what is no place on Earth.
    """
    if text.strip()[: len(SCHEME)].lower() == SCHEME:
        return parse_geo_uri(text)
    parts = _halves(_cleaned(text), text)
    return _coordinate(parts[0], text, "NS", 90.0), _coordinate(parts[1], text, "EW", 180.0)


def parse_latitude_deg(text: str) -> float:
    """One half of a position: decimal degrees, with a point or a comma, or with N or S.

    Raises as `parse_position` does.
    """
    return _coordinate(_cleaned(text).replace(",", "."), text, "NS", 90.0, _LATITUDE)


def parse_longitude_deg(text: str) -> float:
    """The other half, with E or W."""
    return _coordinate(_cleaned(text).replace(",", "."), text, "EW", 180.0, _LONGITUDE)


def _cleaned(text: str) -> str:
    """Without outer blanks, in capitals, with the plain form of each sign."""
    if len(text) > LONGEST:
        raise InvalidValue(
            f"'{text[:LONGEST]}...' is too long to be a position: give it like {_POSITION[1]}.",
            value=text,
            allowed=f"up to {LONGEST} characters",
        )
    return text.translate(_PLAIN).strip().upper()


def _halves(cleaned: str, text: str) -> tuple[str, str]:
    """Latitude's part and longitude's part of a position."""
    parts: list[str] = []
    if ";" in cleaned:
        parts = [part.replace(",", ".") for part in cleaned.split(";")]
    elif letters := _LETTERED.fullmatch(cleaned):
        parts = [part.replace(",", ".") for part in letters.groups() if part]
    elif "," in cleaned:
        parts = cleaned.split(",")
    else:
        parts = cleaned.split()
    if len(parts) != 2:
        raise _unreadable(text)
    return parts[0].strip(), parts[1].strip()


def _coordinate(
    part: str,
    text: str,
    letters: str,
    limit_deg: float,
    wanted: tuple[str, str] = _POSITION,
) -> float:
    """Degrees of one part, positive towards the first of its two letters."""
    match = _ANGLE.fullmatch(part)
    if match is None:
        raise _unreadable(text, wanted)
    before, sign, degrees, minutes, seconds, after = match.groups()
    letter = before or after
    if (before and after) or (letter and sign) or (minutes and not letter):
        raise _unreadable(text, wanted)
    if letter and letter not in letters:
        raise InvalidValue(
            f"'{text}' has {letter} where {letters[0]} or {letters[1]} belongs: "
            "the latitude comes first, then the longitude.",
            value=text,
            allowed=" or ".join(letters),
        )
    if (minutes and "." in degrees) or (seconds and "." in minutes):
        raise _unreadable(text, wanted)
    if float(minutes or 0.0) >= 60.0 or float(seconds or 0.0) >= 60.0:
        raise OutOfRange(
            f"'{text}' has 60 or more minutes or seconds: they stay below 60.",
            value=text,
            allowed="below 60",
        )
    size = float(degrees) + float(minutes or 0.0) / 60.0 + float(seconds or 0.0) / 3600.0
    if size > limit_deg:
        raise OutOfRange(
            f"'{text}' goes beyond {limit_deg:g} degrees {'/'.join(letters)}: "
            "the latitude comes first, then the longitude.",
            value=size,
            allowed=f"-{limit_deg:g} to {limit_deg:g} degrees",
        )
    return -size if sign == "-" or letter == letters[1] else size


def _unreadable(text: str, wanted: tuple[str, str] = _POSITION) -> InvalidValue:
    what, examples = wanted
    return InvalidValue(
        f"'{text}' is not plainly {what}: give it like {examples}.", value=text, allowed=examples
    )
