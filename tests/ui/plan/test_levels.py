"""Levels on the plan: their colours against matplotlib's cividis, their contrast, their value."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from random import Random
from statistics import median

import matplotlib as mpl
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.model import Carrier, Device, Rat, Reading, Role, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.plan.levels import CIVIDIS, step_of
from surveyapp.ui.plan.marks import Place
from surveyapp.ui.plan.stop_marks import StopColumns, StopMarks
from surveyapp.ui.tokens import PALETTES, contrast

NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
A_MILLIDB = 1e-3


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


@given(st.lists(st.floats(-140.0, -44.0), min_size=1, max_size=9), st.randoms())
def test_a_stop_shows_the_median_of_its_readings(levels: list[float], random: Random) -> None:
    """As the standard library takes it, whatever was read at the stop beside it, in any order."""
    stops = [
        Stop(survey_id="v", number=n, time_utc=NOW, lat_deg=60.0, lon_deg=25.0) for n in (1, 2)
    ]
    told = [(stops[0].id, level) for level in levels] + [(stops[1].id, -99.0), ("gone", -50.0)]
    random.shuffle(told)
    marks = StopMarks(StopColumns.of(stops), np.zeros((2, 2)), told)

    assert marks[0].level.rsrp_dbm == pytest.approx(median(levels), abs=A_MILLIDB)
    assert marks[0].level.readings == len(levels)
    assert marks[1].level.rsrp_dbm == -99.0


def test_a_stop_without_a_level_has_none() -> None:
    """Nothing was read there, or nothing that can be."""
    stop = Stop(survey_id="v", number=1, time_utc=NOW)
    assert StopMarks.at([stop], Place(0.0, 0.0))[0].level is None


def test_the_store_tells_the_level_of_the_own_cell(tmp_path: Path) -> None:
    """The 5G carrier's, else the first; never an anchor's, never one that no phone reports."""
    anchor = Carrier(role=Role.ANCHOR, rat=Rat.LTE, rsrp_dbm=-70.0)
    told = {
        -86.0: (anchor, Carrier(rsrp_dbm=-86.0)),
        -91.0: (Carrier(rat=Rat.LTE, rsrp_dbm=-91.0), Carrier(rat=Rat.LTE, rsrp_dbm=-80.0)),
        -77.0: (Carrier(rat=Rat.LTE, rsrp_dbm=-60.0), Carrier(rsrp_dbm=-77.0)),
        None: (anchor,),
        30.0: (Carrier(rsrp_dbm=30.0),),
        -1.0: (Carrier(),),
    }
    with Notebook.create(tmp_path / "levels.notebook", clock=lambda: NOW) as notebook:
        survey, phone = Survey(title="Levels"), Device(label="Phone")
        stops = [Stop(survey_id=survey.id, number=n, time_utc=NOW) for n in range(len(told))]
        readings = [
            Reading(stop_id=stop.id, device_id=phone.id, time_utc=NOW, carriers=carriers)
            for stop, carriers in zip(stops, told.values(), strict=True)
        ]
        notebook.save(survey, phone, *stops, *readings)
        notebook.delete(readings[1])
        found = dict(notebook.stop_levels(survey.id))

    assert found == {stops[0].id: -86.0, stops[2].id: -77.0}
