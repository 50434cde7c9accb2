"""How many touches the reference stop takes for each digit of its values."""

from __future__ import annotations

import pytest

from surveyapp.model import Reading, Remark, Sighting, SpeedRun
from tests.ui import field_day
from tests.ui.harness import Pilot

# Band, count, width, RSRP, RSRQ, SINR, the anchor's band; then down, up, ping, jitter, loss.
READINGS = (
    ("258", "4", "100", "86", "12", "14", "20"),
    ("258", "4", "100", "88", "12", "11", "20"),
)
RUNS = (
    ("612", "48", "21", "3", "0"),
    ("587", "45", "23", "4", "0"),
    ("540", "41", "22", "3", "0"),
    ("98", "44", "22", "3", "0"),
)
VALUES = (field_day.BEARING, *READINGS[0], *READINGS[1], *(value for run in RUNS for value in run))
DIGITS = sum(len(value) for value in VALUES)
BUDGET = 1.6  # touches a digit


def first_reading(pilot: Pilot) -> None:
    """All of it typed; the mode is the one of nearly every reading."""
    pilot.touch("Reading")
    for value in READINGS[0][:-1]:
        field_day.keys(pilot, value)
    for key in READINGS[0][-1]:
        pilot.touch_key(key)
    pilot.touch("Save")


def second_reading(pilot: Pilot) -> None:
    """The other phone, on the carriers of the first."""
    pilot.touch("Reading")
    pilot.touch("As last")
    for value in READINGS[1][3:6]:
        field_day.keys(pilot, value)
    pilot.touch("Save")


def four_runs(pilot: Pilot) -> None:
    """Two of each phone, in turns."""
    for values in RUNS:
        field_day.speed_run(pilot, values)


def test_the_reference_stop_stays_within_its_touches(
    pilot: Pilot, capsys: pytest.CaptureFixture[str]
) -> None:
    """A notebook in use, from the first tap on Sighting to the last Save: 68 digits."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    parts = {}
    for part in (
        field_day.sighting,
        first_reading,
        second_reading,
        four_runs,
        field_day.short_remark,
    ):
        before = pilot.touches
        part(pilot)
        parts[part.__name__.replace("_", " ")] = pilot.touches - before
    total = sum(parts.values())
    with capsys.disabled():
        told = ", ".join(f"{name} {touches}" for name, touches in parts.items())
        print(f"\n{total} touches for {DIGITS} digits, {total / DIGITS:.2f} a digit: {told}")
    notebook = pilot.session.notebook
    kinds = (Sighting, Reading, SpeedRun, Remark)

    assert [notebook.count(kind) for kind in kinds] == [1, 2, 4, 1]
    assert [run.down_mbps for run in notebook.all(SpeedRun)] == [612.0, 587.0, 540.0, 98.0]
    assert [[c.rsrp_dbm for c in r.carriers] for r in notebook.all(Reading)] == [
        [-86.0, None], [-88.0, None],
    ]  # fmt: skip
    assert DIGITS == 68
    assert total <= BUDGET * DIGITS
