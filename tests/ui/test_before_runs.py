"""What is noted with one touch at a stop: the list before the runs, a lost leg, a radio reset."""

from __future__ import annotations

import pytest

from surveyapp.analysis.preparation import Tick, ticks_before
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import Device, Preparation, Remark, RemarkKind, SpeedRun
from tests.ui import field_day
from tests.ui.harness import Pilot, frames


@pytest.fixture
def ready(pilot: Pilot) -> Pilot:
    """The app at a stop with a position, a site and two phones."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    pilot.touches = 0
    return pilot


def test_ticks_are_one_touch_each_and_kept_with_the_runs(ready: Pilot) -> None:
    """Ticked for Phone B only, they count for its runs only; a second touch takes one back."""
    ready.touch("Before the runs")
    ready.touch("Radio reset", 1)
    ready.touch("Test server chosen", 1)
    ready.touch("Network mode looked at", 1)
    ready.touch("Network mode looked at", 1)
    assert ready.touches == 5
    ready.touch("Close")
    for values in field_day.RUNS:
        field_day.speed_run(ready, values)
    notebook = ready.session.notebook
    labels = {device.id: device.label for device in notebook.all(Device)}
    ticks = {
        labels[run.device_id]: ticks_before(run, notebook.all(Preparation))
        for run in notebook.all(SpeedRun)
    }

    assert ticks == {
        "Phone A": frozenset(),
        "Phone B": {Tick.RADIO_RESET, Tick.SERVER_CHOSEN},
    }
    assert ready.says("2 of 4 made sure of")


def test_a_lost_leg_and_a_reset_are_one_touch_each(ready: Pilot) -> None:
    """They are noted for the phone in hand, a reset is ticked too, and Undo takes both back."""
    field_day.speed_run(ready, field_day.RUNS[0])
    before = ready.touches
    ready.touch("Lost 5G")
    ready.touch("Radio reset")
    assert ready.touches == before + 2
    notebook = ready.session.notebook
    phone = notebook.all(Device, label="Phone A")[0]
    noted = {(remark.kind, remark.device_id) for remark in notebook.all(Remark)}
    assert noted == {(RemarkKind.LOST_5G, phone.id), (RemarkKind.RADIO_RESET, phone.id)}
    assert notebook.all(Preparation)[0].radio_reset_utc is not None

    ready.touch("Undo")
    assert [remark.kind for remark in notebook.all(Remark)] == [RemarkKind.LOST_5G]
    assert notebook.all(Preparation) == []


def test_a_server_is_found_by_the_beginning_of_its_name(ready: Pilot) -> None:
    """The town's chip fills the field, and the run knows where its server stands."""
    ready.touch("Speed run")
    field_day.keys(ready, "1480")
    ready.touch("Server at")
    frames(2)
    ready.type("porv")
    assert ready.says("GeoNames")
    ready.touch("Porvoo, FI")
    ready.touch("Save")
    run = ready.session.notebook.all(SpeedRun)[0]
    away_m = inverse(run.server_lat_deg, run.server_lon_deg, 60.3932, 25.6639).distance_m

    assert run.server_place == "Porvoo, FI"
    assert away_m < 2_000.0  # the town as an atlas has it, from memory
