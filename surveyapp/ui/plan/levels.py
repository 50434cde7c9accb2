"""Readings on the plan: one level for each stop, its step of colour, and how it is written.

Colours are cividis, made to read alike with and without colour vision (J. R. Nunez,
C. R. Anderton, R. S. Renslow, PLoS ONE 13 (7) 2018, e0199239); thirteen steps of 5 dB.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from surveyapp.model import Rat, Reading, Role

CIVIDIS = (
    "#00224e", "#003170", "#2a3f6d", "#434e6c", "#575d6d", "#6a6c71", "#7d7c78",
    "#918b78", "#a59c74", "#bcae6c", "#d2c060", "#e9d34e", "#fee838",
)  # fmt: skip
LOWEST_DBM, STEP_DB = -122.5, 5.0
LOW_DBM, HIGH_DBM = -156.0, -31.0  # what a phone can report: TS 38.133 clause 10.1.6


@dataclass(frozen=True, slots=True)
class Level:
    """The level at a stop: the median RSRP of its readings, and how many there are."""

    rsrp_dbm: float
    readings: int

    @property
    def text(self) -> str:
        """'−86'."""
        return f"{self.rsrp_dbm:.0f}".replace("-", "\N{MINUS SIGN}")


def levels_by_stop(readings: Iterable[Reading]) -> dict[str, Level]:
    """The level of each stop by its id; readings without an RSRP that can be are passed over."""
    found: dict[str, list[float]] = defaultdict(list)
    for reading in readings:
        level = _own_level(reading)
        if level is not None:
            found[reading.stop_id].append(level)
    return {stop: Level(median(values), len(values)) for stop, values in found.items()}


def step_of(rsrp_dbm: float) -> int:
    """Which of the colours stands for a level, the lowest first."""
    step = int((rsrp_dbm - LOWEST_DBM) // STEP_DB)
    return min(max(step, 0), len(CIVIDIS) - 1)


def _own_level(reading: Reading) -> float | None:
    """The 5G level where there is one, else that of the first carrier; never the anchor's."""
    told = [
        carrier
        for carrier in reading.carriers
        if carrier.rsrp_dbm is not None and LOW_DBM <= carrier.rsrp_dbm <= HIGH_DBM
    ]
    told.sort(key=lambda carrier: (carrier.rat is not Rat.NR, carrier.role is Role.ANCHOR))
    if not told or told[0].role is Role.ANCHOR:
        return None
    return told[0].rsrp_dbm
