"""The scale bar: round lengths only, as long as they fit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.ui.plan.scale_bar import scale_bar

FOOT_M = 0.3048  # exact: NIST Special Publication 811 (2008), appendix B.6
MILE_FEET = 5280  # exact: the same


@given(st.floats(0.001, 100), st.floats(60, 300))
def test_a_bar_is_a_round_length_that_nearly_fills_its_room(
    px_per_m: float, most_px: float
) -> None:
    """1, 2 or 5 times a power of ten, never longer than the room, never under two fifths of it."""
    bar = scale_bar(px_per_m, most_px)
    leading = float(f"{bar.length_m:e}".split("e")[0])

    assert leading in (1.0, 2.0, 5.0)
    assert bar.width_px <= most_px * (1 + 1e-9)
    assert bar.width_px >= 0.4 * most_px * (1 - 1e-9)
    assert bar.width_px == pytest.approx(bar.length_m * px_per_m)


@pytest.mark.parametrize(
    ("px_per_m", "text"),
    [(1.0, "100 m"), (0.5, "200 m"), (0.1, "1 km"), (0.02, "5 km"), (20.0, "5 m"), (300, "0.2 m")],
)
def test_the_words_have_a_fitting_unit(px_per_m: float, text: str) -> None:
    """Metres below a kilometre, kilometres from there on."""
    assert scale_bar(px_per_m, 110.0).text == text


def test_us_lengths_are_exact_feet_and_miles() -> None:
    """The bar of 100 feet is 30.48 m long, that of a mile 1609.344 m."""
    feet = scale_bar(1.0 / FOOT_M, 110.0, us_units=True)
    mile = scale_bar(100.0 / (MILE_FEET * FOOT_M), 110.0, us_units=True)

    assert (feet.text, mile.text) == ("100 ft", "1 mi")
    assert math.isclose(feet.length_m, 30.48)
    assert math.isclose(mile.length_m, 1609.344)
