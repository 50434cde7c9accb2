"""The list before the runs, as the desk reads it."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta

from surveyapp.analysis.preparation import Tick, ticks_before, unlike
from surveyapp.model import Preparation, SpeedRun

WHEN = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
RUN = SpeedRun(stop_id="stop", device_id="a", time_utc=WHEN)
MINUTE = timedelta(minutes=1)


def test_every_tick_is_a_field_of_the_row_and_the_reverse() -> None:
    """A point added to the model is read here too."""
    names = {field.name.removesuffix("_utc") for field in fields(Preparation)}

    assert set(Tick) == names - {
        "id", "created", "changed", "deleted", "stop_id", "device_id",
    }  # fmt: skip


def test_a_tick_counts_for_later_runs_of_the_same_phone_at_the_same_stop() -> None:
    """Not for one made before it, on another phone, or elsewhere."""
    ticked = Preparation(stop_id="stop", device_id="a", radio_reset_utc=WHEN)

    assert ticks_before(RUN, [ticked]) == {Tick.RADIO_RESET}
    assert ticks_before(replace(RUN, time_utc=WHEN + MINUTE), [ticked]) == {Tick.RADIO_RESET}
    assert ticks_before(replace(RUN, time_utc=WHEN - MINUTE), [ticked]) == set()
    assert ticks_before(replace(RUN, device_id="b"), [ticked]) == set()
    assert ticks_before(replace(RUN, stop_id="other"), [ticked]) == set()


def test_two_runs_are_alike_where_the_same_was_ticked_for_both() -> None:
    """What one lacks is named."""
    both = [
        Preparation(stop_id="stop", device_id=phone, radio_reset_utc=WHEN, network_mode_utc=mode)
        for phone, mode in (("a", WHEN), ("b", None))
    ]
    other = replace(RUN, device_id="b")

    assert unlike(RUN, other, both) == {Tick.NETWORK_MODE}
    assert unlike(RUN, replace(RUN, id="again"), both) == set()
