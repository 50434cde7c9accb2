"""Which stop a speed run belongs to, by its time, with the reason in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo

from surveyapp.analysis.photo_sorting import BEFORE, LONGEST
from surveyapp.model import Stop


@dataclass(frozen=True, slots=True)
class RunPlace:
    """The stop, or None where none was made that day; `doubt` is a sentence or ''."""

    stop: Stop | None
    reason: str
    doubt: str = ""


def sort_run(stops: Sequence[Stop], zones: Mapping[str, tzinfo], time_utc: datetime) -> RunPlace:
    """The stop of that day in whose time the run was made, else the nearest one.

    `zones` gives each survey's time zone by its id: a day ends at the survey's own midnight.
    """
    that_day = [stop for stop in stops if _same_day(stop, zones, time_utc)]
    if not that_day:
        return RunPlace(None, f"no stop was made on {_day(zones, time_utc)}")
    begun = [stop for stop in that_day if stop.time_utc <= time_utc]
    # A run just before a stop's first entry is that stop's only where no other had begun
    if begun:
        stop = max(begun, key=lambda one: one.time_utc)
    else:
        stop = min(that_day, key=lambda one: one.time_utc)
    away = time_utc - stop.time_utc
    if timedelta(minutes=-1) < away < timedelta(minutes=1):
        return RunPlace(stop, f"made as stop {stop.number} began")
    words = _words(abs(away))
    if away < timedelta():
        doubt = "It was made before that day's first stop." if -away > BEFORE else ""
        return RunPlace(stop, f"made {words} before stop {stop.number} began", doubt)
    doubt = f"That is long after stop {stop.number}: is it the right one?" * (away > LONGEST)
    return RunPlace(stop, f"made {words} after stop {stop.number} began", doubt)


def _same_day(stop: Stop, zones: Mapping[str, tzinfo], time_utc: datetime) -> bool:
    zone = zones[stop.survey_id]
    return stop.time_utc.astimezone(zone).date() == time_utc.astimezone(zone).date()


def _day(zones: Mapping[str, tzinfo], time_utc: datetime) -> date:
    """The run's day where the surveys were; without any, its day by UTC."""
    return time_utc.astimezone(next(iter(zones.values()), None) or time_utc.tzinfo).date()


def _words(time: timedelta) -> str:
    minutes = round(time / timedelta(minutes=1))
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60:02d} min"
