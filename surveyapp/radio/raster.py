"""Channel numbers and frequencies: NR-ARFCN, GSCN and EARFCN, both ways, for whole arrays.

Sources: 3GPP TS 38.104 V19.4.0 clauses 5.4.2.1 (NR-ARFCN) and 5.4.3.1 (GSCN), TS 36.104
V19.2.0 clause 5.7.3 (EARFCN). Frequencies are counted in whole kilohertz, so that a printed
megahertz figure is exactly the standard's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import OutOfRange
from surveyapp.radio.arrays import FloatArray, Values, number, plain, within
from surveyapp.radio.bands import RELEASE, Direction

IntArray: TypeAlias = NDArray[np.int64]
Numbers: TypeAlias = int | IntArray

# (first number, first kHz, step kHz): TS 38.104 table 5.4.2.1-1
_NR_RANGES = ((0, 0, 5), (600_000, 3_000_000, 15), (2_016_667, 24_250_080, 60))
LAST_NR_ARFCN = 3_279_165
FIRST_GSCN, LAST_GSCN = 2, 26_639  # TS 38.104 table 5.4.3.1-1
LAST_MHZ = 100_000.0
LTE_STEP_KHZ = 100


def nr_mhz(arfcn: Numbers) -> FloatArray:
    """Frequency in MHz of an NR-ARFCN, 0 to 3279165; arrays give arrays."""
    number = _whole(arfcn, 0, LAST_NR_ARFCN, "NR-ARFCN")
    khz = np.select(
        [number < _NR_RANGES[1][0], number < _NR_RANGES[2][0]],
        [_khz(number, 0), _khz(number, 1)],
        _khz(number, 2),
    )
    return plain(khz / 1000.0)


def nr_arfcn(mhz: Values) -> IntArray:
    """The NR-ARFCN nearest to a frequency of 0 to 100000 MHz; arrays give arrays."""
    khz = within(mhz, 0.0, LAST_MHZ, "frequency", "MHz") * 1000.0
    number = np.select(
        [khz < _NR_RANGES[1][1], khz < _NR_RANGES[2][1]],
        [_number(khz, 0), _number(khz, 1)],
        _number(khz, 2),
    )
    return _plain_int(np.minimum(np.rint(number).astype(np.int64), LAST_NR_ARFCN))


def gscn_mhz(gscn: Numbers) -> FloatArray:
    """Frequency in MHz of the synchronisation block of a GSCN, 2 to 26639; arrays too."""
    number = _whole(gscn, FIRST_GSCN, LAST_GSCN, "GSCN")
    cluster, position = (number + 1) // 3, (number + 1) % 3  # GSCN = 3 N + (M - 3) / 2
    khz = np.select(
        [number < 7499, number < 22_256],
        [1200 * cluster + 50 * (2 * position + 1), 3_000_000 + 1440 * (number - 7499)],
        24_250_080 + 17_280 * (number - 22_256),
    )
    return plain(khz / 1000.0)


def gscn_at(mhz: Values) -> IntArray:
    """The GSCN nearest to a frequency of 1.25 to 99988.32 MHz; arrays give arrays."""
    khz = within(mhz, 1.25, 99_988.32, "frequency of a synchronisation block", "MHz") * 1000.0
    cluster = np.clip(np.rint((khz - 150.0) / 1200.0), 1, 2499)
    position = np.clip(np.rint((khz - 1200.0 * cluster - 50.0) / 100.0), 0, 2)
    number = np.select(
        [khz < 2_999_525.0, khz < 24_249_360.0],
        [3 * cluster - 1 + position, 7499 + np.rint((khz - 3_000_000.0) / 1440.0)],
        22_256 + np.rint((khz - 24_250_080.0) / 17_280.0),
    )
    return _plain_int(number.astype(np.int64))


@dataclass(frozen=True, slots=True)
class LteRange:
    """The channel numbers of one LTE band in one direction, and its lowest frequency."""

    band: str
    direction: Direction
    first: int
    last: int
    low_khz: int


@lru_cache(maxsize=1)
def lte_ranges() -> tuple[LteRange, ...]:
    """Every range of TS 36.104 V19.2.0 table 5.7.3-1, by rising number; time-division once."""
    from nrarfcn.tables import get_table

    found = []
    for row in get_table("lte_earfcn", RELEASE).data:
        name, down, up = row[0], row[1:5], row[5:9]
        found.append(_lte_range(name, Direction.DOWN, down))
        if up[0] != "N/A" and up != down:
            found.append(_lte_range(name, Direction.UP, up))
    return tuple(sorted(found, key=lambda entry: entry.first))


def lte_mhz(earfcn: Numbers) -> FloatArray:
    """Frequency in MHz of an EARFCN, downlink or uplink; arrays give arrays.

    Raises OutOfRange for a number of no band.
    """
    ranges = lte_ranges()
    number = _whole(earfcn, 0, ranges[-1].last, "EARFCN")
    first = np.array([entry.first for entry in ranges])
    last = np.array([entry.last for entry in ranges])
    low_khz = np.array([entry.low_khz for entry in ranges])
    at = np.searchsorted(first, number, side="right") - 1
    unused = number > last[at]
    if unused.any():
        worst = int(np.asarray(number)[unused].flat[0])
        raise OutOfRange(
            f"No LTE band uses EARFCN {worst}: check the number.",
            value=worst,
            allowed="the ranges of TS 36.104 table 5.7.3-1",
        )
    return plain((low_khz[at] + LTE_STEP_KHZ * (number - first[at])) / 1000.0)


def lte_range(earfcn: int) -> LteRange:
    """The band and direction an EARFCN belongs to; raises OutOfRange for a number of no band."""
    lte_mhz(earfcn)
    return next(entry for entry in lte_ranges() if entry.first <= earfcn <= entry.last)


def earfcns_at(mhz: float) -> tuple[tuple[LteRange, int], ...]:
    """Every EARFCN whose frequency is nearest to `mhz`, with its band; empty where there is none.

    One frequency has as many numbers as LTE bands hold it. Numbers lie 100 kHz apart.
    """
    khz = number(mhz, 0.0, LAST_MHZ, "frequency", "MHz") * 1000.0
    numbers = (
        (entry, entry.first + round((khz - entry.low_khz) / LTE_STEP_KHZ)) for entry in lte_ranges()
    )
    return tuple((entry, n) for entry, n in numbers if entry.first <= n <= entry.last)


def _lte_range(name: str, direction: Direction, cells: list[Any]) -> LteRange:
    """One range from the table's cells: lowest MHz, offset, first and last number."""
    low_mhz, _, first, last = cells
    return LteRange(name, direction, first, last, round(low_mhz * 1000))


def _whole(numbers: Numbers, low: int, high: int, name: str) -> IntArray:
    """The numbers as whole ones inside `low` to `high`, else OutOfRange."""
    array = within(np.asarray(numbers), low, high, name, "")
    whole = array.astype(np.int64)
    if (whole != array).any():
        raise OutOfRange(
            f"The {name} is a whole number: give one of {low} to {high}.",
            value=numbers,
            allowed=f"{low} to {high}",
        )
    return np.asarray(whole)


def _khz(number: IntArray, part: int) -> IntArray:
    """Kilohertz of a number by one line of the NR table."""
    first, first_khz, step_khz = _NR_RANGES[part]
    return first_khz + step_khz * (number - first)


def _number(khz: FloatArray, part: int) -> FloatArray:
    """Number, not yet rounded, of kilohertz by one line of the NR table."""
    first, first_khz, step_khz = _NR_RANGES[part]
    return np.asarray(first + (khz - first_khz) / step_khz)


def _plain_int(array: IntArray) -> IntArray:
    """The array, or a numpy integer where it holds a single value."""
    return array[()]
