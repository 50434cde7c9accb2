"""Rows and values as the surveyor reads them on screen. No Kivy, no notebook: text only."""

from __future__ import annotations

from surveyapp.model import (
    Carrier,
    PositionFrom,
    Rat,
    Reading,
    Role,
    Sector,
    Sighting,
    SpeedRun,
    Stop,
    View,
)
from surveyapp.ui.speech import length
from surveyapp.wording import (
    MINUS,
    carrier_text,
    clock_text,
    counted,
    day_text,
    degrees,
    joined,
    levels_text,
    number,
    share,
    times,
)

__all__ = [
    "MINUS", "carrier_text", "clock_text", "counted", "day_text", "degrees", "facing_text",
    "joined", "levels_text", "main_carrier", "number", "panel_text", "position_from_text",
    "position_text", "rates_text", "reading_text", "run_text", "share", "sighting_text", "times",
    "with_unit",
]  # fmt: skip


def with_unit(value: float | None, unit: str, decimals: int = 1) -> str:
    """'−86.5 dBm', a length in the units in force; a dash where there is no value."""
    if value is None:
        return "–"
    return length(value, decimals) if unit == "m" else f"{number(value, decimals)} {unit}"


def position_text(stop: Stop) -> str:
    """'60.17012, 24.94120 ± 8 m', or that there is none yet."""
    if stop.lat_deg is None or stop.lon_deg is None:
        return "No position yet"
    place = f"{number(stop.lat_deg, 5)}, {number(stop.lon_deg, 5)}"
    if stop.position_sigma_m is None:
        return place
    return f"{place} ± {length(stop.position_sigma_m)}"


def position_from_text(how: PositionFrom | None) -> str:
    """Where a position comes from, in words."""
    words = {
        PositionFrom.TYPED: "typed by hand",
        PositionFrom.PLAN: "tapped on the plan",
        PositionFrom.SENSOR: "from this phone",
        PositionFrom.RECORD: "from a record",
    }
    return words.get(how, str(how)) if how is not None else ""


def facing_text(facing_deg: float | None) -> str:
    """How a panel is turned, in words."""
    words = {
        0.0: "looks at me", 45.0: "half turned to my left", -45.0: "half turned to my right",
        90.0: "edge on, to my left", -90.0: "edge on, to my right", 180.0: "shows its back",
    }  # fmt: skip
    return "" if facing_deg is None else words.get(facing_deg, f"turned {number(facing_deg)}°")


def panel_text(sector: Sector) -> str:
    """A panel by its label and azimuth: 'C 270°'."""
    turned = degrees(sector.azimuth_deg) if sector.azimuth_deg is not None else ""
    return f"{sector.label or 'Unnamed panel'} {turned}".strip()


def sighting_text(sighting: Sighting) -> str:
    """What a sighting found, in one line."""
    far = with_unit(sighting.distance_m, "m", 0) if sighting.distance_m is not None else ""
    views = {View.CLEAR: "clear view", View.PARTLY: "partly hidden", View.BLOCKED: "view blocked"}
    view = views[sighting.view] if sighting.view else ""
    return joined([view, facing_text(sighting.facing_deg), far])


def reading_text(reading: Reading) -> str:
    """Mode and carriers of a reading, in one line."""
    anchors = [c for c in reading.carriers if c.role is Role.ANCHOR]
    others = [c for c in reading.carriers if c.role is not Role.ANCHOR]
    parts = [str(reading.mode), *map(carrier_text, others)]
    return joined([*parts, *(f"anchor {carrier_text(c)}" for c in anchors)])


def main_carrier(reading: Reading) -> Carrier | None:
    """The carrier whose level stands for the reading: the primary NR one where there is one."""
    ranked = sorted(
        reading.carriers, key=lambda c: (c.role is not Role.PRIMARY, c.rat is not Rat.NR)
    )
    return ranked[0] if ranked else None


def run_text(run: SpeedRun) -> str:
    """Ping, jitter, loss, segments sent again and server of a speed run, those that are there."""
    return joined(
        [
            f"ping {with_unit(run.ping_ms, 'ms')}" if run.ping_ms is not None else "",
            f"jitter {with_unit(run.jitter_ms, 'ms')}" if run.jitter_ms is not None else "",
            f"loss {with_unit(run.loss_pct, '%')}" if run.loss_pct is not None else "",
            f"{run.retransmits} sent again" if run.retransmits is not None else "",
            f"server {run.server_place}" if run.server_place else "",
        ]
    )


def rates_text(run: SpeedRun) -> str:
    """'1480 down, 96 up Mbit/s'."""
    ends = ((run.down_mbps, "down"), (run.up_mbps, "up"))
    said = [f"{number(value)} {end}" for value, end in ends if value is not None]
    return f"{', '.join(said)} Mbit/s" if said else ""
