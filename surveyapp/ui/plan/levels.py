"""Readings on the plan: one level for each stop, its step of colour, and how it is written.

Colours are cividis, made to read alike with and without colour vision (J. R. Nunez,
C. R. Anderton, R. S. Renslow, PLoS ONE 13 (7) 2018, e0199239); thirteen steps of 5 dB.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

CIVIDIS = (
    "#00224e", "#003170", "#2a3f6d", "#434e6c", "#575d6d", "#6a6c71", "#7d7c78",
    "#918b78", "#a59c74", "#bcae6c", "#d2c060", "#e9d34e", "#fee838",
)  # fmt: skip
LOWEST_DBM, STEP_DB = -122.5, 5.0
NO_LEVEL = -1


@dataclass(frozen=True, slots=True)
class Level:
    """The level at a stop: the median RSRP of its readings, and how many there are."""

    rsrp_dbm: float
    readings: int

    @property
    def text(self) -> str:
        """'−86'."""
        return f"{self.rsrp_dbm:.0f}".replace("-", "\N{MINUS SIGN}")


def levels_of(
    index: Mapping[str, int], told: Iterable[tuple[str, float]]
) -> tuple[FloatArray, IntArray]:
    """The median level (n) of each stop, NaN where none is told, and how many are told (n).

    `index` gives the place of each stop by its id; levels of other stops are passed over.
    """
    level = np.full(len(index), np.nan)
    known = [(index[stop], rsrp_dbm) for stop, rsrp_dbm in told if stop in index]
    count = np.zeros(len(index), dtype=np.intp)
    if known:
        stop, rsrp_dbm = np.array(known).T
        order = np.lexsort((rsrp_dbm, stop))
        stops, first, counts = np.unique(
            stop[order].astype(np.intp), return_index=True, return_counts=True
        )
        ranked = rsrp_dbm[order]
        low, high = ranked[first + (counts - 1) // 2], ranked[first + counts // 2]
        level[stops], count[stops] = (low + high) / 2.0, counts
    return level, count


def steps_of(rsrp_dbm: FloatArray) -> IntArray:
    """Which of the colours (n) stand for levels (n), the lowest first; NO_LEVEL for NaN."""
    step = np.clip((rsrp_dbm - LOWEST_DBM) // STEP_DB, 0, len(CIVIDIS) - 1)
    return np.where(np.isnan(step), NO_LEVEL, np.nan_to_num(step)).astype(np.intp)


def step_of(rsrp_dbm: float) -> int:
    """Which of the colours stands for one level."""
    return int(steps_of(np.array(rsrp_dbm)))
