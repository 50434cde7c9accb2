"""How many touches the reference stop takes for each digit of its values."""

from __future__ import annotations

import pytest

from tests.ui import field_day
from tests.ui.harness import Pilot

# What the stop's values have: one sighting, two readings of eight values, four runs of five.
VALUES = (
    field_day.BEARING,
    *field_day.READING,
    *(*field_day.READING[:3], *field_day.LATER_LEVELS, *field_day.READING[6:]),
    *(value for run in (*field_day.RUNS, *field_day.RUNS) for value in run),
)
DIGITS = sum(sign.isdigit() for value in VALUES for sign in value)
BUDGET = 1.6  # touches a digit


def test_the_reference_stop_stays_within_its_touches(
    pilot: Pilot, capsys: pytest.CaptureFixture[str]
) -> None:
    """On a notebook in use, from the first tap on Sighting to the last Save."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    parts = {}

    def count(name: str, part: object, *values: object) -> None:
        before = pilot.touches
        part(pilot, *values)
        parts[name] = parts.get(name, 0) + pilot.touches - before

    count("sighting", field_day.sighting)
    count("first reading", field_day.reading)
    count("second reading", field_day.later_reading)
    for values in (*field_day.RUNS, *field_day.RUNS):
        count("four speed runs", field_day.speed_run, values)
    count("remark", field_day.short_remark)
    total = sum(parts.values())
    with capsys.disabled():
        told = ", ".join(f"{name} {touches}" for name, touches in parts.items())
        print(f"\n{total} touches for {DIGITS} digits, {total / DIGITS:.2f} a digit: {told}")

    assert total <= BUDGET * DIGITS
