"""The scale bar: the longest round length that fits, in metres or in feet and miles."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

FOOT_M = 0.3048  # exact, international foot (1959)
MILE_M = 1609.344  # exact, international mile (1959)
STEPS = (5, 2, 1)


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A bar of `width_px` that stands for `length_m`, and its words."""

    length_m: float
    width_px: float
    text: str


def scale_bar(px_per_m: float, most_px: float, *, us_units: bool = False) -> ScaleBar:
    """The longest length of 1, 2 or 5 times a power of ten that `most_px` can hold."""
    most_m = most_px / px_per_m
    if us_units:
        unit_m, unit = (MILE_M, "mi") if most_m >= MILE_M else (FOOT_M, "ft")
        count = _round_below(most_m / unit_m)
        return ScaleBar(count * unit_m, count * unit_m * px_per_m, f"{_plain(count)} {unit}")
    length_m = _round_below(most_m)
    text = f"{_plain(length_m / 1000)} km" if length_m >= 1000 else f"{_plain(length_m)} m"
    return ScaleBar(length_m, length_m * px_per_m, text)


def _round_below(most: float) -> float:
    decade = 10.0 ** floor(log10(most))
    return max(step * decade for step in STEPS if step * decade <= most * (1 + 1e-12))


def _plain(count: float) -> str:
    return f"{count:.10g}"
