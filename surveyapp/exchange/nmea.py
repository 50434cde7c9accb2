"""Logs of NMEA 0183 sentences as tracks: position and time from RMC, with the checksum proven.

Source: the sentences' form as receivers write it (NMEA 0183 is a paid standard; fields from
memory, held against gpsbabel in the tests). The two-digit year counts from 1980, as GPS does.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Gatherer
from surveyapp.exchange.files import refuse_larger, refused
from surveyapp.exchange.track import TrackPoint, track_brought

MOST_BYTES = 64_000_000
LONGEST_LINE = 200  # a sentence has at most 82 characters; loggers put times in front
_SENTENCE = re.compile(r"\$([A-Z]{2}[A-Z]{3},[^*$]*)(?:\*([0-9A-Fa-f]{2}))?\s*$")
_POSITION = re.compile(r"(\d{2,3})(\d{2}(?:\.\d+)?)", re.ASCII)
_CLOCK = re.compile(r"(\d{2})(\d{2})(\d{2})(?:\.(\d+))?", re.ASCII)
_PIVOT = 80


def read_nmea(path: Path, workspace: Path) -> Brought:
    """The stops along the log. Raises FormatError for a file without any such sentence."""
    refuse_larger(path, MOST_BYTES, "cut it to your walk")
    gatherer: Gatherer[TrackPoint] = Gatherer(path)
    sentences = without_fix = 0
    with open(path, encoding="ascii", errors="replace") as file:
        for count, line in enumerate(file, start=1):
            if "$" not in line[:LONGEST_LINE]:
                continue
            sentences += 1
            try:
                point = point_of(line)
            except InvalidValue as error:
                gatherer.refuse(f"line {count}", str(error))
                continue
            if point is not None:
                gatherer.good.append(point)
            elif "RMC" in line:
                without_fix += 1
    if sentences == 0 or (len(gatherer.troubles) == sentences):
        raise refused(path, "is no log of NMEA sentences")
    found = track_brought(path, gatherer.good, gatherer.troubles)
    if not without_fix:
        return found
    note = f"Sentences without a position fix, passed over: {without_fix}."
    return replace(found, notes=(note, *found.notes))


def point_of(line: str) -> TrackPoint | None:
    """The point of an RMC sentence; None for other sentences and where there was no fix.

    Raises InvalidValue for a sentence that is broken, or whose checksum does not fit.
    """
    match = _SENTENCE.search(line[:LONGEST_LINE])
    if match is None:
        raise InvalidValue("is no whole sentence", value=line[:LONGEST_LINE])
    body, checksum = match.groups()
    if checksum is not None and _checksum(body) != int(checksum, 16):
        raise InvalidValue(f"its checksum is {_checksum(body):02X}, not {checksum}", value=line)
    fields = body.split(",")
    if not fields[0].endswith("RMC"):
        return None
    if len(fields) < 10:
        raise InvalidValue("is no whole sentence", value=line[:LONGEST_LINE])
    if fields[2] != "A":
        return None
    lat_deg = _angle(fields[3], fields[4], "N", "S", 90.0)
    lon_deg = _angle(fields[5], fields[6], "E", "W", 180.0)
    return TrackPoint(lat_deg=lat_deg, lon_deg=lon_deg, time_utc=_time(fields[9], fields[1]))


def _checksum(body: str) -> int:
    """All characters between $ and *, combined by exclusive or."""
    total = 0
    for character in body:
        total ^= ord(character)
    return total


def _angle(text: str, letter: str, plus: str, minus: str, most: float) -> float:
    """Degrees of 'ddmm.mmmm' with its letter."""
    match = _POSITION.fullmatch(text)
    if match is None or letter not in (plus, minus):
        raise InvalidValue(f"'{text},{letter}' is no position", value=text)
    angle = int(match[1]) + float(match[2]) / 60.0
    if angle > most or float(match[2]) >= 60.0:
        raise InvalidValue(f"'{text},{letter}' is no place on Earth", value=text)
    return angle if letter == plus else -angle


def _time(date: str, clock: str) -> datetime:
    match = _CLOCK.fullmatch(clock)
    try:
        if match is None or len(date) != 6:
            raise ValueError
        day, month, year = int(date[:2]), int(date[2:4]), int(date[4:])
        fraction = int((match[4] or "0").ljust(6, "0")[:6])
        century = 1900 if year >= _PIVOT else 2000
        return datetime(
            century + year, month, day, int(match[1]), int(match[2]), min(int(match[3]), 59),
            fraction, UTC,
        )  # fmt: skip
    except ValueError:
        raise InvalidValue(f"'{date} {clock}' is no date and time", value=date) from None
