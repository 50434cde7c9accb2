"""Values and rows as a reader of the page meets them: text only."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime

from surveyapp.model import Carrier, Reading, Role, SectorCarrier, Sighting, SpeedRun, View
from surveyapp.report.zones import zone_of

MINUS = "−"
VIEW_WORDS = {
    View.CLEAR: "clear view", View.PARTLY: "view partly blocked", View.BLOCKED: "view blocked",
}  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip


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


def shortened(text: str, most: int) -> str:
    """The text, cut with an ellipsis where it is longer than a drawing has room for."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def tidy(text: str) -> str:
    """Sentences with a true minus before numbers, and per cent a space off its number."""
    return re.sub(r"(?<=\d)%", "\u00a0%", re.sub(r"(?<![\w.,)])-(?=\d)", MINUS, text))


def degrees(value: float | None) -> str:
    """'147°', to whole degrees, 0 to 359."""
    return "–" if value is None else f"{round(value) % 360}°"


def facing_text(facing_deg: float | None) -> str:
    """How a panel is turned, in words."""
    words = {
        0.0: "looks at the stop", 45.0: "half turned to the left",
        -45.0: "half turned to the right", 90.0: "edge on, to the left",
        -90.0: "edge on, to the right", 180.0: "shows its back",
    }  # fmt: skip
    return "" if facing_deg is None else words.get(facing_deg, f"turned {number(facing_deg)}°")


def sighting_text(sighting: Sighting, *, exact: bool = True) -> str:
    """What a sighting found: bearing, view, how the panel is turned, how far, how high.

    Where places are not exact, the view alone: the rest would tell where it was seen from.
    """
    if not exact:
        return VIEW_WORDS[sighting.view] if sighting.view else "view not noted"
    bearing = sighting.bearing_deg
    said = f"at {degrees(bearing)} true" if bearing is not None else "bearing not known"
    if bearing is not None and sighting.sigma_deg is not None:
        said += f" ± {number(sighting.sigma_deg, 0)}°"
    if bearing is None and sighting.raw_bearing_deg is not None:
        said = f"read {degrees(sighting.raw_bearing_deg)} {sighting.raw_reference}"
    rises = sighting.elevation_deg
    return ", ".join(
        part
        for part in (
            said,
            VIEW_WORDS[sighting.view] if sighting.view else "",
            facing_text(sighting.facing_deg),
            f"{number(sighting.distance_m, 0)} m away" if sighting.distance_m is not None else "",
            f"{number(rises)}° above the horizon" if rises is not None else "",
        )
        if part
    )


def carrier_text(carrier: Carrier | SectorCarrier) -> str:
    """'n258 4 × 100 MHz'."""
    width = with_unit(carrier.bandwidth_mhz, "MHz") if carrier.bandwidth_mhz else ""
    if carrier.count > 1:
        width = f"{carrier.count} × {width or 'carriers'}"
    return " ".join(part for part in (carrier.band or str(carrier.rat), width) if part)


def channel_text(carrier: Carrier | SectorCarrier) -> str:
    """Band and width, channel number, frequency, PCI, those that are there."""
    return joined(
        (
            f"{carrier.rat} {carrier_text(carrier)}" if carrier.band else carrier_text(carrier),
            f"channel {carrier.channel}" if carrier.channel is not None else "",
            with_unit(carrier.mhz, "MHz", 2) if carrier.mhz is not None else "",
            f"PCI {carrier.pci}" if carrier.pci is not None else "",
        )
    )


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


def reading_text(reading: Reading) -> str:
    """Mode and carriers of a reading, with their levels, in one line."""
    parts = [str(reading.mode)]
    for carrier in reading.carriers:
        role = "anchor " if carrier.role is Role.ANCHOR else ""
        pci = f"PCI {carrier.pci}" if carrier.pci is not None else ""
        said = [f"{role}{carrier_text(carrier)}", pci, levels_text(carrier).replace(" · ", ", ")]
        parts.append(", ".join(part for part in said if part))
    return "; ".join(parts)


def run_figures(run: SpeedRun) -> str:
    """Upload, ping, jitter, loss, streams of a run, those that are there."""
    return joined(
        (
            f"up {with_unit(run.up_mbps, 'Mbit/s')}" if run.up_mbps is not None else "",
            f"ping {with_unit(run.ping_ms, 'ms')}" if run.ping_ms is not None else "",
            f"jitter {with_unit(run.jitter_ms, 'ms')}" if run.jitter_ms is not None else "",
            f"loss {with_unit(run.loss_pct, '%')}" if run.loss_pct is not None else "",
            f"{run.streams} stream" if run.streams == "one" else "",
        )
    )
