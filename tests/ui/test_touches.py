"""How many touches the reference stop takes for each digit of its values."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from kivy.uix.widget import Widget

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
BUDGET, AIM = 1.6, 1.4  # touches a digit


def first_reading(pilot: Pilot) -> None:
    """All of it typed, as at the first stop of a first day; the other phone lies beside."""
    pilot.touch("Reading")
    for value in READINGS[0][:-1]:
        field_day.keys(pilot, value)
    type_keys(pilot, READINGS[0][-1])
    pilot.touch("Save, then Phone B")


def second_reading(pilot: Pilot) -> None:
    """The other phone, on the carriers of the first; its RSRQ is the same, and offered."""
    rsrp, _rsrq, sinr = READINGS[1][3:6]
    field_day.keys(pilot, rsrp)
    pilot.touch("−12")
    type_keys(pilot, sinr)
    pilot.touch("Save")


def four_runs(pilot: Pilot) -> None:
    """Two of each phone, A, B, B, A so that neither is always first; what an earlier run
    showed too is taken from its chip."""
    pilot.touch("Speed run")
    for phone, *values in (("Phone B", *RUNS[0]), ("Phone B", *RUNS[1]), ("Phone A", *RUNS[2])):
        run(pilot, values)
        pilot.touch(f"Save, then {phone}")
    run(pilot, RUNS[3])
    pilot.touch_key("Save")


def run(pilot: Pilot, values: Sequence[str]) -> None:
    """The five values of a run."""
    for value in values[:2]:
        field_day.keys(pilot, value)
    for value in values[2:4]:
        if value in chips(pilot):
            pilot.touch(value_chip(pilot, value))
        else:
            field_day.keys(pilot, value)
    type_keys(pilot, values[4])


def type_keys(pilot: Pilot, digits: str) -> None:
    """The keys of the pad alone."""
    for digit in digits:
        pilot.touch_key(digit)


def chips(pilot: Pilot) -> list[str]:
    """What the chips above the pad say."""
    return [target.text for target in pilot.targets() if type(target).__name__ == "Chip"]


def value_chip(pilot: Pilot, text: str) -> Widget:
    """The chip that says this; a key of the pad may say it too."""
    found = (target for target in pilot.targets() if type(target).__name__ == "Chip")
    return next(chip for chip in found if chip.text == text)


def reference_stop(pilot: Pilot) -> dict[str, int]:
    """Enter it, in a notebook in use; how many touches each part took."""
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
    return parts


def test_the_reference_stop_stays_within_its_touches(
    pilot: Pilot, capsys: pytest.CaptureFixture[str]
) -> None:
    """A notebook in use, from the first tap on Sighting to the last Save: 68 digits."""
    parts = reference_stop(pilot)
    total = sum(parts.values())
    with capsys.disabled():
        told = ", ".join(f"{name} {touches}" for name, touches in parts.items())
        print(f"\n{total} touches for {DIGITS} digits, {total / DIGITS:.2f} a digit: {told}")
    notebook = pilot.session.notebook
    kinds = (Sighting, Reading, SpeedRun, Remark)

    assert [notebook.count(kind) for kind in kinds] == [1, 2, 4, 1]
    labels = {device.id: device.label for device in pilot.session.devices}
    assert [labels[run.device_id] for run in notebook.all(SpeedRun)] == [
        "Phone A", "Phone B", "Phone B", "Phone A",
    ]  # fmt: skip
    assert [run.down_mbps for run in notebook.all(SpeedRun)] == [612.0, 587.0, 540.0, 98.0]
    assert [[c.rsrp_dbm for c in r.carriers] for r in notebook.all(Reading)] == [
        [-86.0, None], [-88.0, None],
    ]  # fmt: skip
    assert DIGITS == 68
    assert total <= AIM * DIGITS < BUDGET * DIGITS
