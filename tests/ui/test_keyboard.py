"""A keyboard on the desk fills a sheet by itself."""

from __future__ import annotations

import sys

import pytest

from surveyapp.model import Reading, SpeedRun
from tests.ui import field_day
from tests.ui.harness import Pilot
from tests.ui.real_keys import press


@pytest.mark.skipif(sys.platform != "linux", reason="finds SDL by Linux's list of loaded files")
def test_real_keys_fill_and_move_and_take_back(pilot: Pilot) -> None:
    """Digits, minus, marks, Tab both ways, arrows, Ctrl+Z, Enter and Escape; Tab never saves."""
    field_day.prepare(pilot)
    pilot.touch("Reading")
    state = pilot.router.sheets[-1].state
    press(*"258", "Tab", *"4", "Down", *"100", "Right", *"86", "Enter", *"12.5", "Enter", *"-3")
    assert state.text("primary_sinr") == "-3"
    press("Up")
    assert state.focus == "primary_rsrq"
    press("Tab", shift=True)
    assert state.focus == "primary_rsrp"
    press(*"91")
    press("z", "z", ctrl=True)
    assert state.text("primary_rsrp") == "-86"
    press("Down", "Left", "Backspace")
    assert state.text("primary_rsrp") == "-8"
    press("8")
    press("Enter", ctrl=True)
    carrier = pilot.session.notebook.all(Reading)[0].carriers[0]
    assert (carrier.band, carrier.count, carrier.bandwidth_mhz) == ("n258", 4, 100.0)
    assert (carrier.rsrp_dbm, carrier.rsrq_db, carrier.sinr_db) == (-88.0, -12.5, -3.0)

    press("z", ctrl=True)
    assert pilot.session.notebook.count(Reading) == 0
    press("z", ctrl=True, shift=True)
    assert pilot.session.notebook.count(Reading) == 1

    pilot.touch("Speed run")
    press(*"98", "Escape")
    assert not pilot.router.sheets
    pilot.touch("Speed run")
    assert pilot.router.sheets[-1].state.text("down") == "98"
    press("Tab", "Tab", "Tab", "Tab", *"0", "Tab", "Down")
    assert pilot.session.notebook.count(SpeedRun) == 0
    press("Enter")
    assert pilot.session.notebook.all(SpeedRun)[0].loss_pct == 0.0
