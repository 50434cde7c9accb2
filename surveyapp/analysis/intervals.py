"""Student's t and chi-square, as far as intervals of a fit need them, in plain numpy.

Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and
26.7.4 (Student's t), 26.7.8 (many degrees of freedom), 26.4.17 (chi-square likewise).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from statistics import NormalDist
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from surveyapp.errors import OutOfRange
from surveyapp.geometry.chi_square import chi_square_survival

FloatArray: TypeAlias = NDArray[np.float64]

MANY_DEGREES = 300  # from here on the expansions are good to 1e-5
TABLE_REACH = 60.0  # tails beyond this many sigmas count as none
TABLE_STEP = 1.0 / 64.0
_HALVINGS = 80


def student_cdf(value: FloatArray, degrees: int) -> FloatArray:
    """Probability that Student's t with `degrees` (1 or more) of freedom is at most `value`."""
    check_degrees(degrees)
    if degrees >= MANY_DEGREES:
        shrunk = value * (1.0 - 1.0 / (4.0 * degrees)) / np.sqrt(1.0 + value**2 / (2.0 * degrees))
        return normal_cdf(shrunk)
    angle = np.arctan(np.abs(value) / math.sqrt(degrees))
    sine, cosine = np.sin(angle), np.cos(angle)
    odd = degrees % 2
    term = cosine if odd else np.ones_like(sine)
    total = np.zeros_like(sine) if degrees == 1 else term.copy()
    for power in range(3 if odd else 2, degrees - 1, 2):
        term = term * cosine**2 * (power - 1) / power
        total = total + term
    within = 2.0 / math.pi * (angle + sine * total) if odd else sine * total
    return np.asarray(0.5 + 0.5 * np.sign(value) * within)


def normal_cdf(value: FloatArray) -> FloatArray:
    """Probability that a standard normal quantity is at most `value`."""
    return np.asarray(0.5 * _erfc(-value / math.sqrt(2.0)))


def student_quantile(chance: float, degrees: int) -> float:
    """What Student's t stays below with probability `chance`."""
    _check_chance(chance)
    return _inverse(lambda t: float(student_cdf(np.array(t), degrees)), chance, -1e6, 1e6)


def chi_square_quantile(chance: float, degrees: int) -> float:
    """What chi-square with `degrees` of freedom stays below with probability `chance`."""
    _check_chance(chance)
    check_degrees(degrees)
    if degrees >= MANY_DEGREES:
        share = 2.0 / (9.0 * degrees)
        return degrees * (1.0 - share + NormalDist().inv_cdf(chance) * math.sqrt(share)) ** 3
    highest = degrees + 20.0 * math.sqrt(2.0 * degrees) + 100.0
    return _inverse(lambda x: 1.0 - chi_square_survival(x, degrees), chance, 0.0, highest)


def chance_below(value: FloatArray, degrees: int | None) -> FloatArray:
    """As `student_cdf` (None: normal) by straight lines in a table, for large arrays.

    Off by less than 2e-5 but for tails beyond TABLE_REACH.
    """
    table = _table(degrees)
    place = (np.clip(value, -TABLE_REACH, TABLE_REACH) + TABLE_REACH) * (1.0 / TABLE_STEP)
    below = np.minimum(place.astype(np.intp), len(table) - 2)
    low = table[below]
    return np.asarray(low + (place - below) * (table[below + 1] - low))


def check_degrees(degrees: int) -> None:
    """Refuse fewer than one degree of freedom."""
    if degrees < 1:
        raise OutOfRange(
            "An interval needs at least one degree of freedom: add an observation.",
            value=degrees,
            allowed="1 or more",
        )


def _check_chance(chance: float) -> None:
    if not 0.0 < chance < 1.0:
        raise OutOfRange(
            f"The chance {chance:g} is not between 0 and 1: give one such as 0.95.",
            value=chance,
            allowed="above 0, below 1",
        )


@lru_cache(maxsize=64)
def _table(degrees: int | None) -> FloatArray:
    """The distribution at steps of TABLE_STEP, from -TABLE_REACH to TABLE_REACH."""
    value = np.arange(-TABLE_REACH, TABLE_REACH + TABLE_STEP / 2, TABLE_STEP)
    table = normal_cdf(value) if degrees is None else student_cdf(value, degrees)
    table.setflags(write=False)
    return table


def _erfc(value: FloatArray) -> FloatArray:
    return np.asarray(np.vectorize(math.erfc, otypes=[float])(value), dtype=np.float64)


def _inverse(rising: Callable[[float], float], target: float, low: float, high: float) -> float:
    """Where a rising function reaches the target, by halving."""
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if rising(middle) < target:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
