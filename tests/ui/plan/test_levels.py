"""Levels on the plan: their colours against matplotlib's cividis, their contrast, their value."""

from __future__ import annotations

from datetime import UTC, datetime
from statistics import median

import matplotlib as mpl
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.model import Carrier, Rat, Reading, Role
from surveyapp.ui.plan.levels import CIVIDIS, Level, levels_by_stop, step_of
from surveyapp.ui.tokens import PALETTES, contrast

NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)


def reading(*carriers: Carrier, stop_id: str = "s") -> Reading:
    """A reading of these carriers."""
    return Reading(stop_id=stop_id, device_id="d", time_utc=NOW, carriers=carriers)


def test_the_colours_are_cividis() -> None:
    """Evenly spaced over the colour map as matplotlib has it."""
    colours = mpl.colormaps["cividis"](np.linspace(0.0, 1.0, len(CIVIDIS)))
    assert [mpl.colors.to_hex(colour) for colour in colours] == list(CIVIDIS)


@pytest.mark.parametrize("theme", PALETTES)
def test_a_bar_stands_off_the_paper_by_its_edge(theme: str) -> None:
    """The edge is drawn in the theme's ink: 3:1 and more against paper, buildings and streets."""
    palette = PALETTES[theme]
    for ground in (palette.paper, palette.raised, palette.pressed):
        assert contrast(palette.ink, ground) >= 3.0


@given(st.floats(-156.0, -31.0), st.floats(-156.0, -31.0))
def test_a_higher_level_is_never_darker(one: float, other: float) -> None:
    """Steps go up with the level and stay within the colours."""
    low, high = sorted((one, other))
    assert 0 <= step_of(low) <= step_of(high) < len(CIVIDIS)


@given(st.lists(st.floats(-140.0, -44.0), min_size=1, max_size=9))
def test_a_stop_shows_the_median_of_its_readings(levels: list[float]) -> None:
    """Of the 5G carrier, whatever its anchor has."""
    anchor = Carrier(role=Role.ANCHOR, rat=Rat.LTE, rsrp_dbm=-70.0)
    readings = [reading(anchor, Carrier(rsrp_dbm=level)) for level in levels]
    assert levels_by_stop(readings) == {"s": Level(median(levels), len(levels))}


def test_impossible_and_missing_levels_are_passed_over() -> None:
    """+30 dBm, no level, an anchor alone: such readings colour nothing."""
    anchor = Carrier(role=Role.ANCHOR, rat=Rat.LTE, rsrp_dbm=-70.0)
    readings = [reading(Carrier(rsrp_dbm=30.0)), reading(Carrier()), reading(anchor)]
    assert levels_by_stop(readings) == {}
