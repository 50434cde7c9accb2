"""The survey as a list: each stop in order of time, and below it what was entered there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from surveyapp.analysis.accepted_doubts import MOVING, is_accepted
from surveyapp.analysis.stop_order import walked
from surveyapp.analysis.value_doubts import Doubt
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
from surveyapp.store.reach import within
from surveyapp.ui.day_doubts import capital, gathered, rows_of
from surveyapp.ui.day_filter import DayFilter
from surveyapp.ui.entry_lines import EntryLine, entry_lines
from surveyapp.ui.review import Review
from surveyapp.ui.words import clock_text, counted, day_text, joined, position_text

BESIDE_M = 60.0  # whether one stands beneath is worked out exactly
NO_FILTER = DayFilter()
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
    """The survey's rows in order of time, what they come to, and all that is doubted."""

    items: tuple[DayItem, ...] = ()
    summary: str = ""
    doubts: tuple[Doubt, ...] = ()


def day_of(
    notebook: Notebook,
    survey: Survey | None,
    review: Review | None = None,
    accepted: Collection[str] = (),
    shown: DayFilter = NO_FILTER,
) -> Day:
    """All of a survey that `shown` lets through; photos of no stop come last."""
    if survey is None:
        return Day()
    scenes = scenes_of(notebook, survey)
    doubts = gathered(scenes, review)
    told = _by_row(doubts, accepted)
    after = _out_of_turn([scene.stop for scene in scenes])
    items = [item for scene in scenes for item in _items(scene, survey, told, shown, after)]
    items.extend(_loose_photos(notebook, survey, shown))
    loose = len(loose_photos(notebook, survey))
    return Day(tuple(items), _summary(survey, scenes, loose), tuple(doubts))


def _items(
    scene: StopScene,
    survey: Survey,
    told: dict[str, _Told],
    shown: DayFilter,
    after: dict[str, str],
) -> Iterator[DayItem]:
    """A stop and its entries; a stop without any that is shown is left out with them."""
    lines = sorted(entry_lines(scene), key=_moment)
    inside = [
        _item(line, told[line.row.id])
        for line in lines
        if shown.shows(line.sheet, line.row, told[line.row.id].open)
    ]
    stop = scene.stop
    if inside or not shown or shown.shows("stop", stop, told[stop.id].open):
        yield _stop_item(stop, survey, told[stop.id], after.get(stop.id, ""))
        yield from inside


def scenes_of(notebook: Notebook, survey: Survey) -> list[StopScene]:
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
        for stop in walked(stops)
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
    return within(site.lat_deg, site.lon_deg, stop.lat_deg, stop.lon_deg, BESIDE_M)


@dataclass
class _Told:
    """What is said of a row's doubts: those that are open, and those that were accepted."""

    open: str = ""
    accepted: str = ""


def _by_row(doubts: Sequence[Doubt], accepted: Collection[str]) -> dict[str, _Told]:
    """Values in full words; what concerns the sector in short, for each has a page of its own."""
    found: dict[str, tuple[dict[str, None], dict[str, None]]] = defaultdict(lambda: ({}, {}))
    for doubt in doubts:
        settled = is_accepted(doubt, accepted)
        short = settled or doubt.kind in MOVING
        found[doubt.row_id][settled][capital(doubt.kind) if short else doubt.words] = None
    told: dict[str, _Told] = defaultdict(_Told)
    for row_id, (still, done) in found.items():
        told[row_id] = _Told(" ".join(still), f"kept as noted: {', '.join(done)}" if done else "")
    return told


def _summary(survey: Survey, scenes: Sequence[StopScene], loose: int) -> str:
    """'Wednesday 10 June 2026 · 3 stops · 12 entries'."""
    zone = ZoneInfo(survey.time_zone)
    day = day_text(scenes[0].stop.time_utc.astimezone(zone).date()) if scenes else ""
    rows = {row.id for scene in scenes for _, row in rows_of(scene)}
    entries = len(rows) - len(scenes) + sum(len(scene.photos) for scene in scenes)
    return joined([
        "" if day in survey.title else day,  # 'Survey of Wednesday 10 June 2026' says it
        counted(len(scenes), "stop"),
        counted(entries + loose, "entry", "entries"),
    ])  # fmt: skip


def _out_of_turn(stops: Sequence[Stop]) -> dict[str, str]:
    """'after stop 2', by the id of a stop that was split off: its number is that of a later one."""
    return {
        stop.id: f"after stop {before.number}"
        for before, stop, following in zip(stops, stops[1:], stops[2:], strict=False)
        if before.number < following.number < stop.number
    }


def _stop_item(stop: Stop, survey: Survey, told: _Told, after: str) -> DayItem:
    return DayItem(
        icon="stop",
        text=f"Stop {stop.number} · {clock_text(stop.time_utc, survey.time_zone)}",
        detail=joined([
            after,
            stop.place_text or (position_text(stop) if stop.lat_deg is not None else ""),
            told.accepted,
        ]),
        sheet="stop",
        row_id=stop.id,
        doubt=told.open,
        leads=True,
        inside=False,
    )  # fmt: skip


def _moment(line: EntryLine) -> datetime:
    """When it was entered, for a line without a time of its own."""
    when = line.time_utc or line.row.created_utc
    assert when is not None
    return when


def _item(line: EntryLine, told: _Told) -> DayItem:
    return DayItem(
        line.sheet,
        line.text,
        joined([line.detail, told.accepted]),
        line.sheet,
        line.row.id,
        line.value,
        told.open,
    )


def _loose_photos(notebook: Notebook, survey: Survey, shown: DayFilter) -> list[DayItem]:
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
        for photo in loose_photos(notebook, survey)
        if shown.shows("photo", photo, "")
    ]  # fmt: skip


def loose_photos(notebook: Notebook, survey: Survey) -> list[Photo]:
    """The photos of a survey that were taken at no stop."""
    return [one for one in notebook.all(Photo, survey_id=survey.id) if one.stop_id is None]
