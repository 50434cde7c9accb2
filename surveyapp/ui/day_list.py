"""The survey as a list: each stop in order of time, and below it what was entered there."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from surveyapp.analysis.doubts import doubts_at
from surveyapp.model import (
    Device,
    Photo,
    Reading,
    Remark,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    StopScene,
    Survey,
)
from surveyapp.store.notebook import Notebook
from surveyapp.ui.entry_lines import EntryLine, entry_lines
from surveyapp.ui.words import clock_text, counted, day_text, joined, position_text

BESIDE_DEG = 0.0005  # some 50 m of latitude; whether one stands beneath is worked out exactly
E = TypeVar("E", Sighting, Reading, SpeedRun, Photo, Remark)


@dataclass(frozen=True, slots=True)
class DayItem:
    """A row of the list; a tap opens `sheet` on the row `row_id`.

    A stop `leads`, its entries stand `inside`.
    """

    icon: str
    text: str
    detail: str
    sheet: str
    row_id: str
    value: str = ""
    doubt: str = ""
    leads: bool = False
    inside: bool = True


@dataclass(frozen=True, slots=True)
class Day:
    """The survey's rows in order of time, and what they come to."""

    items: tuple[DayItem, ...] = ()
    summary: str = ""


def day_of(notebook: Notebook, survey: Survey | None) -> Day:
    """All of a survey; photos of no stop come last."""
    if survey is None:
        return Day()
    scenes = _scenes(notebook, survey)
    items: list[DayItem] = []
    for scene in scenes:
        doubts = _doubts(scene)
        items.append(_stop_item(scene.stop, survey, doubts))
        items.extend(_item(line, doubts) for line in sorted(entry_lines(scene), key=_moment))
    items.extend(_loose_photos(notebook, survey))
    return Day(tuple(items), _summary(survey, scenes, items))


def _scenes(notebook: Notebook, survey: Survey) -> list[StopScene]:
    """The stops with their entries, read in one go; what an entry line needs and no more."""
    stops = notebook.all(Stop, survey_id=survey.id)
    if not stops:
        return []
    ids = [stop.id for stop in stops]
    sites, devices = notebook.all(Site), tuple(notebook.all(Device))
    sightings, readings, runs, photos, remarks = (
        _by_stop(notebook.all(kind, stop_id=ids))
        for kind in (Sighting, Reading, SpeedRun, Photo, Remark)
    )
    return [
        StopScene(
            survey=survey,
            stop=stop,
            sites=_sites_of(stop, sightings[stop.id], sites),
            devices=devices,
            sightings=tuple(sightings[stop.id]),
            readings=tuple(readings[stop.id]),
            speed_runs=tuple(runs[stop.id]),
            photos=tuple(photos[stop.id]),
            remarks=tuple(remarks[stop.id]),
        )
        for stop in sorted(stops, key=lambda stop: (stop.time_utc, stop.number))
    ]


def _by_stop(rows: list[E]) -> dict[str, list[E]]:
    by_stop: dict[str, list[E]] = defaultdict(list)
    for row in rows:
        by_stop[row.stop_id or ""].append(row)
    return by_stop


def _sites_of(stop: Stop, sightings: list[Sighting], sites: list[Site]) -> tuple[Site, ...]:
    """The sites sighted from a stop, and those it may stand beneath."""
    sighted = {sighting.site_id for sighting in sightings}
    return tuple(site for site in sites if site.id in sighted or _is_beside(site, stop))


def _is_beside(site: Site, stop: Stop) -> bool:
    if site.lat_deg is None or stop.lat_deg is None:
        return False
    apart_deg = max(abs(site.lat_deg - stop.lat_deg), abs(site.lon_deg - stop.lon_deg))
    return apart_deg < BESIDE_DEG


def _doubts(scene: StopScene) -> dict[str, str]:
    """What weakens the entries of a stop by themselves, by their row; no serving is asked for."""
    found: dict[str, list[str]] = defaultdict(list)
    for doubt in doubts_at(scene, answers=()):
        found[doubt.row_id].append(doubt.words)
    if scene.stop.lat_deg is None:
        found[scene.stop.id].append("This stop has no position yet.")
    return {row_id: " ".join(words) for row_id, words in found.items()}


def _summary(survey: Survey, scenes: list[StopScene], items: list[DayItem]) -> str:
    """'Wednesday 10 June 2026 · 3 stops · 12 entries · 1 row in doubt'."""
    zone = ZoneInfo(survey.time_zone)
    day = day_text(scenes[0].stop.time_utc.astimezone(zone).date()) if scenes else ""
    doubtful = sum(bool(item.doubt) for item in items)
    return joined([
        day,
        counted(len(scenes), "stop"),
        counted(len(items) - len(scenes), "entry", "entries"),
        f"{counted(doubtful, 'row')} in doubt" if doubtful else "",
    ])  # fmt: skip


def _stop_item(stop: Stop, survey: Survey, doubts: dict[str, str]) -> DayItem:
    return DayItem(
        icon="stop",
        text=f"Stop {stop.number} · {clock_text(stop.time_utc, survey.time_zone)}",
        detail=stop.place_text or (position_text(stop) if stop.lat_deg is not None else ""),
        sheet="stop",
        row_id=stop.id,
        doubt=doubts.get(stop.id, ""),
        leads=True,
        inside=False,
    )


def _moment(line: EntryLine) -> datetime:
    """When it was entered, for a line without a time of its own."""
    when = line.time_utc or line.row.created_utc
    assert when is not None
    return when


def _item(line: EntryLine, doubts: dict[str, str]) -> DayItem:
    doubt = doubts.get(line.row.id, "")
    return DayItem(line.sheet, line.text, line.detail, line.sheet, line.row.id, line.value, doubt)


def _loose_photos(notebook: Notebook, survey: Survey) -> list[DayItem]:
    return [
        DayItem(
            "photo",
            photo.caption or "Photo",
            joined([
                "at no stop",
                clock_text(photo.time_utc, survey.time_zone) if photo.time_utc else "",
            ]),
            "photo",
            photo.id,
        )
        for photo in notebook.all(Photo, survey_id=survey.id)
        if photo.stop_id is None
    ]  # fmt: skip
