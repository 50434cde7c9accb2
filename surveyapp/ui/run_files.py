"""Speed runs out of files of iperf3 and ping: sorted to stops, kept once. No Kivy here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from surveyapp.analysis.run_sorting import RunPlace, sort_run
from surveyapp.exchange.run_facts import MEASURED, TOGETHER, RunFacts
from surveyapp.model import Device, Reading, SpeedRun, Stop, Streams, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.server_places import server_position, town_of

PRINTS = "run_prints"  # the setting: which run each part of a file went to
ALIKE = 0.006  # a sheet keeps two decimals of what a file says to nine


@dataclass(frozen=True)
class SortedRun:
    """A run with the stop it goes to; `place.stop` is None for none."""

    facts: RunFacts
    place: RunPlace


@dataclass(frozen=True)
class KeptRuns:
    """How many runs are new, how many got a part they lacked, how many were there already."""

    new: int = 0
    changed: int = 0
    known: int = 0


def sorted_runs(notebook: Notebook, runs: Sequence[RunFacts], at: Stop | None) -> list[SortedRun]:
    """Each run with its stop: the one named, else by its time among all surveys' stops."""
    if at is not None:
        return [SortedRun(run, RunPlace(at, f"to stop {at.number} as asked")) for run in runs]
    stops = notebook.all(Stop)
    zones = {survey.id: ZoneInfo(survey.time_zone) for survey in notebook.all(Survey)}
    return [SortedRun(run, _place(stops, zones, run)) for run in runs]


def _place(stops: Sequence[Stop], zones: dict[str, ZoneInfo], run: RunFacts) -> RunPlace:
    if run.time_utc is None:
        return RunPlace(None, "it tells no time")
    place = sort_run(stops, zones, run.time_utc)
    return replace(place, reason=f"{place.reason} {run.time_told}".strip())


def keep_runs(notebook: Notebook, runs: Sequence[SortedRun], device: Device) -> KeptRuns:
    """Keep the sorted runs of a phone as one action; what is in the notebook stays as it is."""
    there = notebook.all(SpeedRun, device_id=device.id)
    by_print = notebook.setting(PRINTS, {})
    new: list[SpeedRun] = []
    changed: list[SpeedRun] = []
    prints: dict[str, str] = {}
    for one in runs:
        if one.place.stop is None:
            continue
        run = _known(there, by_print, one.facts)
        fuller = replace(run, **_missing(run, one.facts)) if run else None
        if run is None:
            run = _made(notebook, one.facts, one.place.stop, device)
            new.append(run)
        elif fuller is not None and fuller != run:
            changed.append(fuller)
        prints |= dict.fromkeys(one.facts.prints, run.id)
    if new or changed:
        files = ", ".join(dict.fromkeys(file for one in runs for file in one.facts.files))
        notebook.save(*new, *changed, what=f"speed runs of {files}")
    keep_prints(notebook, prints)
    sorted_in = sum(one.place.stop is not None for one in runs)
    return KeptRuns(len(new), len(changed), sorted_in - len(new) - len(changed))


def keep_prints(notebook: Notebook, prints: dict[str, str]) -> None:
    """Remember which run each part went to, so that its file finds it again."""
    if prints.items() - notebook.setting(PRINTS, {}).items():
        notebook.keep_setting(PRINTS, {**notebook.setting(PRINTS, {}), **prints})


def _known(there: Sequence[SpeedRun], by_print: dict[str, str], facts: RunFacts) -> SpeedRun | None:
    """The run of the notebook that these parts went to, or belong to."""
    ids = {by_print.get(one) for one in facts.prints}
    return next(
        (run for run in there if run.id in ids),
        next((run for run in there if _holds(run, facts) or _lacks(run, facts)), None),
    )


def _near(run: SpeedRun, facts: RunFacts) -> bool:
    return facts.time_utc is not None and abs(run.time_utc - facts.time_utc) <= TOGETHER


def _holds(run: SpeedRun, facts: RunFacts) -> bool:
    """Whether a run has all that was measured, as one that came by another notebook has."""
    return _near(run, facts) and all(
        (held := getattr(run, name)) is not None and abs(held - came) <= ALIKE
        for name, came in facts.measured.items()
    )


def _lacks(run: SpeedRun, facts: RunFacts) -> bool:
    """Whether a run lacks just what came: the other direction, or a ping."""
    server = facts.is_ping or facts.host in ("", run.server_place)
    needed = {"ping_ms"} if facts.is_ping else {"down_mbps", "up_mbps"} & facts.measured.keys()
    return _near(run, facts) and server and needed <= _missing(run, facts).keys()


def _missing(run: SpeedRun, facts: RunFacts) -> dict[str, Any]:
    return {name: came for name, came in facts.measured.items() if getattr(run, name) is None}


def _made(notebook: Notebook, facts: RunFacts, stop: Stop, device: Device) -> SpeedRun:
    reading = notebook.newest(Reading, 1, stop_id=stop.id, device_id=device.id)
    town = town_of(notebook, facts.host)
    at = server_position(notebook, town) or (None, None)
    return SpeedRun(
        stop_id=stop.id,
        device_id=device.id,
        time_utc=facts.time_utc or stop.time_utc,
        reading_id=reading[0].id if reading else None,
        server_place=town,
        server_lat_deg=at[0],
        server_lon_deg=at[1],
        streams=facts.streams or Streams.MANY,
        **{name: getattr(facts, name) for name in MEASURED},
    )
