"""Values and rows as a reader of the page meets them: text only."""

from __future__ import annotations

import re

from surveyapp.model import Carrier, Reading, Role, SectorCarrier, Sighting, SpeedRun, View
from surveyapp.wording import (
    MINUS,
    capital,
    carrier_text,
    clock_text,
    counted,
    day_text,
    degrees,
    joined,
    levels_text,
    listed,
    number,
    share,
    times,
    with_unit,
    zone_of,
)

__all__ = [
    "MINUS", "capital", "carrier_text", "channel_text", "clock_text", "counted", "day_text",
    "degrees", "facing_text", "joined", "levels_text", "listed", "number", "reading_text",
    "run_figures", "share", "shortened", "sighting_text", "tidy", "times",
    "unbroken", "with_unit", "zone_of",
]  # fmt: skip

VIEW_WORDS = {
    View.CLEAR: "clear view", View.PARTLY: "view partly blocked", View.BLOCKED: "view blocked",
}  # fmt: skip


def shortened(text: str, most: int) -> str:
    """The text, cut with an ellipsis where it is longer than a drawing has room for."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def tidy(text: str) -> str:
    """Sentences with a true minus before numbers, and per cent a space off its number."""
    return re.sub(r"(?<=\d)%", "\u00a0%", re.sub(r"(?<![\w.,)])-(?=\d)", MINUS, text))


_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|dBm?|k?m|ms|[MGk]Hz|Mbit/s|mm/h)(?!\w))")
_BEFORE_VALUE = re.compile(
    r"(?<=\bRSRP|\bRSRQ|\bSINR) (?=[−\d])|(?<=\bPCI) (?=\d)|(?<=\bstop) (?=\d)"
)
_BEFORE_SPREAD = re.compile(r" (±|×) (?=\d)")


def unbroken(text: str) -> str:
    """The text with figures held to their units, and levels to their names, at a line's end."""
    held = _BEFORE_VALUE.sub("\u00a0", _BEFORE_UNIT.sub("\u00a0", text))
    return _BEFORE_SPREAD.sub("\u00a0\\1\u00a0", held)


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
    """Upload, ping, jitter, loss, segments sent again, streams of a run, those that are there."""
    return joined(
        (
            f"up {with_unit(run.up_mbps, 'Mbit/s')}" if run.up_mbps is not None else "",
            f"ping {with_unit(run.ping_ms, 'ms')}" if run.ping_ms is not None else "",
            f"jitter {with_unit(run.jitter_ms, 'ms')}" if run.jitter_ms is not None else "",
            f"loss {with_unit(run.loss_pct, '%')}" if run.loss_pct is not None else "",
            f"{run.retransmits} sent again" if run.retransmits is not None else "",
            f"{run.streams} stream" if run.streams == "one" else "",
        )
    )
