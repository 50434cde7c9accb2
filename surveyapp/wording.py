"""Values and rows in plain words, the same on screen, on a page and in the commands."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, date, datetime, tzinfo
from zoneinfo import ZoneInfo

from surveyapp.model import Carrier, SectorCarrier

MINUS = "−"
NO_BREAK = "\u00a0"
_UNITS = "%|dBm|dBi|dB|MHz|GHz|kHz|Mbit/s|nT|σ|°|MB|kB|km|ft|mi|min|ms|m|s|h|px|PRB"
_BEFORE_UNIT = re.compile(rf"(?<=[\d–]) (?=(?:{_UNITS})(?![\w/]))|(?<=[±×]) (?=\d)|(?<=\d) (?=×)")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


def zone_of(name: str) -> tzinfo:
    """The zone of an IANA name; UTC where this machine does not know it."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, LookupError):
        return UTC


def day_text(day: date) -> str:
    """'Wednesday 10 June 2026'."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def clock_text(moment: datetime, time_zone: str) -> str:
    """'11:30' in the survey's time zone."""
    return moment.astimezone(zone_of(time_zone)).strftime("%H:%M")


def number(value: float | None, decimals: int = 1) -> str:
    """A number with at most so many decimals, no idle zeros, and a true minus sign."""
    if value is None:
        return "–"
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "0") else text.replace("-", MINUS)


def with_unit(value: float | None, unit: str, decimals: int = 1) -> str:
    """'−86.5 dBm'; a dash where there is no value."""
    return f"{number(value, decimals)} {unit}" if value is not None else "–"


def kept_together(text: str) -> str:
    """The text with a no-break space where a number stands before its unit, or ± before it."""
    return _BEFORE_UNIT.sub(NO_BREAK, text) if " " in text else text


def share(probability: float) -> str:
    """A probability as a whole percentage that never claims certainty: 'under 1 %'."""
    if probability < 0.01:
        return "under 1 %"
    if probability > 0.99:
        return "over 99 %"
    return f"{round(probability * 100)} %"


def counted(count: int, one: str, many: str = "") -> str:
    """'1 stop', '3 stops', 'no entries'."""
    word = one if count == 1 else many or f"{one}s"
    return f"{count or 'no'} {word}"


def times(count: int) -> str:
    """'never', 'once', 'twice', '3 times'."""
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


def listed(parts: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    said = [part for part in parts if part]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)


def joined(parts: Iterable[str]) -> str:
    """The parts that say something, with a middle dot between."""
    return " · ".join(part for part in parts if part)


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def degrees(value: float | None) -> str:
    """'147°', to whole degrees, 0 to 359."""
    return "–" if value is None else f"{round(value) % 360}°"


def carrier_text(carrier: Carrier | SectorCarrier) -> str:
    """'n258 4 × 100 MHz'."""
    width = with_unit(carrier.bandwidth_mhz, "MHz") if carrier.bandwidth_mhz else ""
    if carrier.count > 1:
        width = f"{carrier.count} × {width or 'carriers'}"
    return " ".join(part for part in (carrier.band or str(carrier.rat), width) if part)


def levels_text(carrier: Carrier) -> str:
    """'RSRP −86 dBm · RSRQ −12.5 dB · SINR 14 dB', those that are there."""
    return joined(
        f"{name} {with_unit(value, unit)}"
        for name, value, unit in (
            ("RSRP", carrier.rsrp_dbm, "dBm"),
            ("RSRQ", carrier.rsrq_db, "dB"),
            ("SINR", carrier.sinr_db, "dB"),
        )
        if value is not None
    )
