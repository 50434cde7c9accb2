"""The scale bar: the longest round length that fits, in metres or in feet and miles."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, log10

from surveyapp.ui.speech import FOOT_M, MILE_M, Units, speech

STEPS = (5, 2, 1)


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A bar of `width_px` that stands for `length_m`, and its words."""

    length_m: float
    width_px: float
    text: str


def scale_bar(px_per_m: float, most_px: float, *, us_units: bool | None = None) -> ScaleBar:
    """The longest length of 1, 2 or 5 times a power of ten that `most_px` can hold.

    `us_units` None takes the units of the screen.
    """
    if us_units is None:
        us_units = speech.units is Units.US
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
