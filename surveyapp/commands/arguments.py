"""Reading what was typed on the command line, strictly: a number, a position, a bearing.

Nothing is guessed: what is not plainly a number in its range is refused with one sentence
that says what, where and what would do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import click

from surveyapp.errors import InvalidValue
from surveyapp.geometry.position_text import (
    parse_latitude_deg,
    parse_longitude_deg,
    parse_position,
)

Answer = TypeVar("Answer")

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)", re.ASCII)
_NEGATIVE = re.compile(r"-[\d.]", re.ASCII)
_WITH_SIGNS = re.compile(  # of degrees, or of a side of the Earth
    r"""[;:°º'"′″’”]|\d\s*[NSEW]\s*(?:,|$)|(?:^|,)\s*[NSEW]\s*\d""", re.ASCII | re.IGNORECASE
)
LONGEST_NUMBER = 32


class Command(click.Command):
    """A command whose plain arguments may begin with a minus, as southern latitudes do."""

    def parse_args(self, context: click.Context, args: list[str]) -> list[str]:
        """Put the plain arguments, in their order, behind the mark that ends options."""
        if "--" in args:
            return super().parse_args(context, args)
        values_taken = {
            name: parameter.nargs
            for parameter in self.params
            if isinstance(parameter, click.Option) and not parameter.is_flag
            for name in parameter.opts
        }
        options: list[str] = []
        plain: list[str] = []
        awaited = 0
        for text in args:
            is_option = not awaited and text.startswith("-") and not _NEGATIVE.match(text)
            (options if is_option or awaited else plain).append(text)
            awaited = values_taken.get(text, 0) if is_option else max(0, awaited - 1)
        if awaited or not plain:
            return super().parse_args(context, options if not awaited else args)
        return super().parse_args(context, [*options, "--", *plain])


def number(text: str, what: str, low: float, high: float, unit: str) -> float:
    """The decimal number `text`, within `low` to `high`.

    Raises InvalidValue for anything else, also for nan, inf and exponents.
    """
    allowed = f"{low:g} to {high:g} {unit}".strip()
    stripped = text.strip()
    if len(stripped) > LONGEST_NUMBER or not _NUMBER.fullmatch(stripped):
        shown = stripped if len(stripped) <= LONGEST_NUMBER else f"{stripped[:LONGEST_NUMBER]}..."
        raise InvalidValue(
            f"{what} '{shown}' is not a decimal number: give one from {allowed}.",
            value=text,
            allowed=allowed,
        )
    value = float(stripped)
    if not low <= value <= high:
        raise InvalidValue(
            f"{what} {stripped} is out of range: it goes from {allowed}.",
            value=value,
            allowed=allowed,
        )
    return value


def latitude(text: str, where: str) -> float:
    """Degrees north of the equator: a decimal number, or 60°10'11.6"N."""
    if _WITH_SIGNS.search(text):
        return _read(parse_latitude_deg, text, f"{where}: the latitude")
    return number(text, f"{where}: the latitude", -90.0, 90.0, "degrees (latitude comes first)")


def longitude(text: str, where: str) -> float:
    """Degrees east of Greenwich: a decimal number, or 24°56'18.2"E."""
    if _WITH_SIGNS.search(text):
        return _read(parse_longitude_deg, text, f"{where}: the longitude")
    return number(text, f"{where}: the longitude", -180.0, 180.0, "degrees")


def position(text: str, where: str) -> tuple[float, float]:
    """'LAT,LON' or another form `parse_position` reads, as (lat_deg, lon_deg)."""
    parts = text.split(",")
    if _WITH_SIGNS.search(text):
        return _read(parse_position, text, where)
    if len(parts) != 2:
        raise InvalidValue(
            f"{where} '{_short(text)}' is not a position: give LAT,LON in decimal degrees, "
            "such as 60.1699,24.9384.",
            value=text,
            allowed="LAT,LON",
        )
    place = f"{where} '{_short(text)}'"
    return latitude(parts[0], place), longitude(parts[1], place)


def _read(parse: Callable[[str], Answer], text: str, what: str) -> Answer:
    try:
        return parse(text)
    except InvalidValue as trouble:
        raise InvalidValue(f"{what} {trouble}", value=text, allowed=trouble.allowed) from trouble


def bearing(text: str, what: str) -> float:
    """Degrees clockwise from true north, 0 up to but not including 360."""
    value = number(text, what, 0.0, 360.0, "degrees, 360 itself excluded")
    if value == 360.0:
        raise InvalidValue(
            f"{what} 360 is out of range: north is 0, and bearings stay below 360 degrees.",
            value=value,
            allowed="0 up to but not including 360 degrees",
        )
    return value


def each(parse: Callable[[str, int], Answer], texts: Iterable[str]) -> list[Answer]:
    """Parse all of them; raise one InvalidValue that tells every trouble, not only the first."""
    answers: list[Answer] = []
    troubles: list[InvalidValue] = []
    for count, text in enumerate(texts, start=1):
        try:
            answers.append(parse(text, count))
        except InvalidValue as trouble:
            troubles.append(trouble)
    if troubles:
        raise InvalidValue(
            " ".join(str(trouble) for trouble in troubles),
            value=[trouble.value for trouble in troubles],
            allowed=" ".join(dict.fromkeys(trouble.allowed for trouble in troubles)),
        )
    return answers


def optional(text: str | None, parse: Callable[..., float], *about: Any) -> float | None:
    """`parse(text, *about)`, or None where nothing was given."""
    return None if text is None else parse(text, *about)


def _short(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:60]}..."
