"""Parts of the day compared over the notebook's newest surveys. No Kivy here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import time, tzinfo
from itertools import combinations
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.analysis.runs import Quantity
from surveyapp.model import StopScene, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.entries.field import Choice

if TYPE_CHECKING:
    from surveyapp.analysis.compare import Comparison

HOURS = "hours"
NEWEST = 8  # surveys that are looked through: a walk's rhythm, not the notebook's whole past
PARTS = {
    "morning": (time(5), time(10)),
    "midday": (time(10), time(14)),
    "afternoon": (time(14), time(18)),
    "evening": (time(18), time(23)),
    "night": (time(23), time(5)),
}  # by the survey's clock
BETWEEN = "|"


@dataclass(frozen=True, slots=True)
class RunsByHour:
    """The stops of the newest surveys, and the sector that served each reading."""

    scenes: tuple[StopScene, ...] = ()
    served: dict[str, str | None] | None = None


def runs_by_hour(path: Path, subject: str, leave: Callable[[], bool]) -> RunsByHour | None:
    """Look the newest surveys through; None where `leave` asked to stop on the way."""
    from surveyapp.analysis.phone_offset import offsets_from_readings
    from surveyapp.analysis.runs import sectors_served
    from surveyapp.model import Stop

    scenes: list[StopScene] = []
    with Notebook.open(path) as notebook:
        ids = [survey.id for survey in notebook.newest(Survey, NEWEST)]
        stops = notebook.all(Stop, survey_id=ids)
        for scene in notebook.stop_scenes(stop.id for stop in stops):
            if leave():
                return None
            scenes.append(scene)
        offsets = offsets_from_readings(notebook.paired_readings())
    run_here = [scene for scene in scenes if scene.speed_runs]
    served = sectors_served(run_here, offsets)
    return None if leave() else RunsByHour(tuple(run_here), served)


def hour_pairs(scenes: Sequence[StopScene], zone: tzinfo) -> list[Choice]:
    """Every two parts of the day in which runs were made."""
    used = {
        part
        for scene in scenes
        for run in scene.speed_runs
        if (moment := run.time_utc or scene.stop.time_utc) is not None
        for part, span in PARTS.items()
        if _is_in(moment.astimezone(zone).time(), span)
    }
    return [
        Choice(value=f"{one}{BETWEEN}{other}", label=f"{_named(one)} · {_named(other)}")
        for one, other in combinations([part for part in PARTS if part in used], 2)
    ]


def hours_compared(looked: RunsByHour, chosen: str, zone: tzinfo, quantity: Quantity) -> Comparison:
    """The comparison of two parts of the day, stop by stop."""
    from surveyapp.analysis.compare import compare_hours

    first, _, second = chosen.partition(BETWEEN)
    return compare_hours(
        looked.scenes, PARTS[first], PARTS[second], zone, quantity=quantity, served=looked.served
    )


def _is_in(moment: time, span: tuple[time, time]) -> bool:
    start, end = span
    return start <= moment < end if start < end else moment >= start or moment < end


def _named(part: str) -> str:
    """'05–10'."""
    start, end = PARTS[part]
    return f"{start:%H}–{end:%H}"
