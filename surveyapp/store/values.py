"""What a field of a row may hold, and how it is written down.

A `Taker` turns one value into what SQLite and the journal keep, or refuses it with the reason.
It refuses what could not be read back or placed (NaN, a time without zone, a latitude of 95),
never what is merely unlikely: an RSRP of -300 dBm is kept as typed and doubted elsewhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any

from surveyapp.errors import DamagedNotebook, InvalidValue

Stored = str | int | float | None
Taker = Callable[[Any], Stored]

_LARGEST_INTEGER = 2**63 - 1  # SQLite, "Datatypes in SQLite": integers of at most 8 bytes
_UNITS = ("deg", "m", "mhz", "db", "dbm", "mbps", "ms", "pct", "utc", "mm_h", "id")
_WORDS = {
    "lat": "latitude",
    "lon": "longitude",
    "mhz": "MHz",
    "pci": "PCI",
    "rat": "RAT",
    "rsrp": "RSRP",
    "rsrq": "RSRQ",
    "sinr": "SINR",
    "eirp": "EIRP",
}


def label_of(field_name: str) -> str:
    """A field's name as a person says it: 'server_lat_deg' is 'server latitude'."""
    words = field_name
    for unit in _UNITS:
        words = words.removesuffix(f"_{unit}")
    return " ".join(_WORDS.get(word, word) for word in words.split("_"))


def time_text(moment: datetime) -> str:
    """ISO 8601 in UTC with microseconds, so that the order of the texts is that of the times."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds")[:-6] + "Z"


def stamp_after(now: Stored, before: Stored) -> Stored:
    """`now`, or the moment after `before` where the clock was set back in between: a change must
    not seem older than what it changes, or another notebook would refuse it."""
    if before is None or str(now) >= str(before):
        return now
    return time_text(datetime.fromisoformat(str(before)) + timedelta(microseconds=1))


def take_time(value: Any) -> Stored:
    """A time with its zone, kept as UTC text."""
    if not isinstance(value, datetime):
        raise InvalidValue(f"must be a date and time, not {value!r}", value=value)
    if value.utcoffset() is None:
        raise InvalidValue(f"needs a time zone: {value.isoformat()} has none", value=value)
    try:
        return time_text(value)
    except OverflowError:
        raise InvalidValue(f"lies outside the years 1 to 9999: {value}", value=value) from None


def take_text(value: Any) -> Stored:
    """Any text that can be written as UTF-8."""
    if not isinstance(value, str):
        raise InvalidValue(f"must be text, not {value!r}", value=value)
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise InvalidValue("holds characters that are no text", value=value) from None
    return value


def take_identity(value: Any) -> Stored:
    """The identity of a row: text that is not empty."""
    if value == "":
        raise InvalidValue("is empty", value=value)
    return take_text(value)


def take_integer(value: Any) -> Stored:
    """A whole number of at most 63 bits; True and False are not numbers here."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise InvalidValue(f"must be a whole number, not {value!r}", value=value)
    if abs(value) > _LARGEST_INTEGER:
        raise InvalidValue(f"is too large: {value}", value=value)
    return int(value)


def take_number(value: Any) -> Stored:
    """Any finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InvalidValue(f"must be a number, not {value!r}", value=value)
    try:
        number = float(value)
    except OverflowError:
        raise InvalidValue(f"is too large: {value}", value=value) from None
    if not math.isfinite(number):
        raise InvalidValue(f"must be a finite number, not {value}", value=value)
    return number


def taker_within(limit: float) -> Taker:
    """A taker of numbers from -limit to +limit, for latitudes and longitudes in degrees."""

    def take(value: Any) -> Stored:
        number = take_number(value)
        assert isinstance(number, float)
        if not -limit <= number <= limit:
            raise InvalidValue(
                f"must lie between -{limit:g} and {limit:g} degrees, not {number:g}",
                value=value,
                allowed=f"-{limit:g} to {limit:g}",
            )
        return number

    return take


def taker_of_choice(choices: type[StrEnum]) -> Taker:
    """A taker of one enum's members, or of their texts."""
    texts: dict[Any, str] = {member: member.value for member in choices}
    allowed = ", ".join(texts.values())

    def take(value: Any) -> Stored:
        text = texts.get(value) if isinstance(value, str) else None
        if text is None:
            raise InvalidValue(
                f"must be one of {allowed}, not {value!r}", value=value, allowed=allowed
            )
        return text

    return take


def taker_for(name: str, held: type) -> Taker:
    """The taker of a dataclass field by its name and type."""
    if name.endswith("lat_deg"):
        return taker_within(90.0)
    if name.endswith("lon_deg"):
        return taker_within(180.0)
    if name == "id" or name.endswith("_id"):
        return take_identity
    if issubclass(held, StrEnum):
        return taker_of_choice(held)
    takers: dict[type, Taker] = {
        str: take_text,
        int: take_integer,
        float: take_number,
        datetime: take_time,
    }
    return takers[held]


def reader_for(held: type) -> Callable[[Any], Any] | None:
    """How a stored value becomes the field's value again; None where it already is."""
    if issubclass(held, StrEnum):
        return {member.value: member for member in held}.__getitem__
    return datetime.fromisoformat if held is datetime else None


def damaged(what: str) -> DamagedNotebook:
    """The refusal of what another program, or a torn page, has put into a notebook."""
    return DamagedNotebook(f"{what}: keep the notebook as it is and open a backup.")
