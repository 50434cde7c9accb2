"""Which runs were made like for like: what was made sure of on the phone before each."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from enum import StrEnum

from surveyapp.model import Preparation, SpeedRun


class Tick(StrEnum):
    """One point of the list before the runs, named as the model's field without its unit."""

    RADIO_RESET = "radio_reset"
    NETWORK_MODE = "network_mode"
    BATTERY_AND_HEAT = "battery_and_heat"
    SERVER_CHOSEN = "server_chosen"


def tick_utc(preparation: Preparation, tick: Tick) -> datetime | None:
    """When the point was ticked; None where it was not."""
    moment: datetime | None = getattr(preparation, f"{tick}_utc")
    return moment


def ticks_before(run: SpeedRun, preparations: Iterable[Preparation]) -> frozenset[Tick]:
    """What had been ticked for this run: on its phone, at its stop, not after it began."""
    own = [
        preparation
        for preparation in preparations
        if preparation.stop_id == run.stop_id and preparation.device_id == run.device_id
    ]
    return frozenset(
        tick
        for tick in Tick
        if any(
            (moment := tick_utc(preparation, tick)) is not None and moment <= run.time_utc
            for preparation in own
        )
    )


def unlike(
    first: SpeedRun, second: SpeedRun, preparations: Iterable[Preparation]
) -> frozenset[Tick]:
    """What was made sure of before one of two runs and not before the other; empty is alike."""
    known = tuple(preparations)
    return ticks_before(first, known) ^ ticks_before(second, known)
