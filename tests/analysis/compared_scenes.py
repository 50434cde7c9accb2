"""Stops with speed runs, made up for the comparison's tests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from surveyapp.model import (
    Device,
    Mode,
    Reading,
    Remark,
    RemarkKind,
    SpeedRun,
    Stop,
    StopScene,
    Survey,
)

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
PHONES = (Device(id="a", label="Phone A"), Device(id="b", label="Phone B"))
SURVEY = Survey(id="walk", title="Walk")


def run(device: str, minute: float, down: float | None, **fields: Any) -> SpeedRun:
    """A run so many minutes after noon."""
    time_utc = NOON + timedelta(minutes=minute)
    fields = {"stop_id": "", "up_mbps": 50.0, "ping_ms": 20.0, **fields}
    return SpeedRun(device_id=device, time_utc=time_utc, down_mbps=down, **fields)


def reading(device: str, minute: float, mode: Mode = Mode.NSA, **fields: Any) -> Reading:
    """A reading without carriers."""
    time_utc = NOON + timedelta(minutes=minute)
    return Reading(stop_id="", device_id=device, time_utc=time_utc, mode=mode, **fields)


def lost(device: str, minute: float, kind: RemarkKind = RemarkKind.LOST_5G) -> Remark:
    """A remark of something lost."""
    return Remark(
        stop_id="", device_id=device, time_utc=NOON + timedelta(minutes=minute), kind=kind
    )


def scene(
    number: int,
    runs: Sequence[SpeedRun],
    readings: Sequence[Reading] = (),
    remarks: Sequence[Remark] = (),
    survey: Survey = SURVEY,
    **stop: Any,
) -> StopScene:
    """A stop with these entries."""
    return StopScene(
        survey=survey,
        stop=Stop(
            id=f"{survey.id} {number}", survey_id=survey.id, number=number, time_utc=NOON, **stop
        ),
        devices=PHONES,
        speed_runs=tuple(runs),
        readings=tuple(readings),
        remarks=tuple(remarks),
    )


def paired(ratios: Sequence[float], turns: bool = True) -> list[StopScene]:
    """One stop a ratio; the phones take turns in running first unless told otherwise."""
    scenes = []
    for number, ratio in enumerate(ratios, start=1):
        first = 0.0 if number % 2 or not turns else 2.0
        minute = 30.0 * number
        level = 100.0 * number
        scenes.append(
            scene(
                number,
                [
                    run("a", minute + first, level * ratio),
                    run("b", minute + 2.0 - first, level),
                ],
            )
        )
    return scenes
