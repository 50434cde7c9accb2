"""Lost 5G and radio resets, counted for each phone and told for each hour it was watched."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from surveyapp.analysis.runs import WITH_5G
from surveyapp.model import RemarkKind, StopScene


@dataclass(frozen=True, kw_only=True, slots=True)
class Dropouts:
    """What one phone lost. `hours` is how long it was in use: first to last entry of it on each
    survey. `without_5g` counts stops where it showed no 5G while the other phone did.
    """

    lost_5g: int
    radio_resets: int
    without_5g: int
    zero_runs: int
    hours: float

    @property
    def per_hour(self) -> float | None:
        """Lost 5G and resets an hour; None where the phone was watched for no time at all."""
        if self.hours <= 0.0:
            return None
        return (self.lost_5g + self.radio_resets) / self.hours


def dropouts_of(scenes: Iterable[StopScene], device_id: str, other_id: str) -> Dropouts:
    """The losses of `device_id` beside the phone `other_id`."""
    times: dict[str, list[datetime]] = {}
    counts = {RemarkKind.LOST_5G: 0, RemarkKind.RADIO_RESET: 0}
    without_5g = zero_runs = 0
    for scene in scenes:
        remarks = [one for one in scene.remarks if one.device_id == device_id]
        runs = [one for one in scene.speed_runs if one.device_id == device_id]
        readings = [one for one in scene.readings if one.device_id == device_id]
        held = times.setdefault(scene.survey.id, [])
        held += [one.time_utc for one in remarks] + [one.time_utc for one in runs]
        held += [one.time_utc for one in readings]
        for remark in remarks:
            if remark.kind in counts:
                counts[remark.kind] += 1
        zero_runs += sum(0.0 in (run.down_mbps, run.up_mbps) for run in runs)
        without_5g += _has_5g(scene, device_id) is False and _has_5g(scene, other_id) is True
    return Dropouts(
        lost_5g=counts[RemarkKind.LOST_5G],
        radio_resets=counts[RemarkKind.RADIO_RESET],
        without_5g=without_5g,
        zero_runs=zero_runs,
        hours=_hours(list(times.values())),
    )


def _has_5g(scene: StopScene, device_id: str) -> bool | None:
    """Whether any reading of the phone at the stop was on 5G; None without a reading."""
    modes = [one.mode in WITH_5G for one in scene.readings if one.device_id == device_id]
    return any(modes) if modes else None


def _hours(times: Sequence[Sequence[datetime]]) -> float:
    spans = (max(held) - min(held) for held in times if held)
    return sum(spans, timedelta()) / timedelta(hours=1)
