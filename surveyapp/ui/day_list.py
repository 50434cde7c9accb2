"""The survey as a list: each stop in order of time, and below it what was entered there."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from surveyapp.model import (
    Device,
    Photo,
    Reading,
    Remark,
    Row,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store.notebook import Notebook
from surveyapp.ui.words import (
    clock_text,
    day_text,
    degrees,
    joined,
    levels_text,
    main_carrier,
    position_text,
    rates_text,
    reading_text,
    run_text,
    sighting_text,
    with_unit,
)

WIDE_SIGMA_M = 25.0  # worse than this is a doubt


@dataclass(frozen=True, slots=True)
class DayItem:
    """A row of the list; a tap opens `sheet` on the row `row_id`."""

    icon: str
    text: str
    detail: str
    sheet: str
    row_id: str
    value: str = ""
    doubt: str = ""
    leads: bool = False
    inside: bool = True


Entry = Sighting | Reading | SpeedRun | Photo | Remark


@dataclass(frozen=True, slots=True)
class _Names:
    devices: dict[str, str]
    sites: dict[str, str]
    time_zone: str


@dataclass(frozen=True, slots=True)
class Day:
    """The survey's rows in order of time, and what they come to."""

    items: tuple[DayItem, ...] = ()
    summary: str = ""


def day_of(notebook: Notebook, survey: Survey | None) -> Day:
    """All of a survey; photos of no stop come last."""
    if survey is None:
        return Day()
    stops = notebook.all(Stop, survey_id=survey.id)
    names = _Names(
        {device.id: device.label for device in notebook.all(Device)},
        {site.id: site.name for site in notebook.all(Site)},
        survey.time_zone,
    )
    by_stop = _entries(notebook, survey, stops)
    items: list[DayItem] = []
    for stop in sorted(stops, key=lambda stop: (stop.time_utc, stop.number)):
        items.append(_stop_item(stop, names))
        items.extend(_item(entry, names) for entry in by_stop[stop.id])
    items.extend(_item(photo, names) for photo in by_stop[""])
    return Day(tuple(items), _summary(stops, len(items) - len(stops), survey))


def counted(count: int, one: str, many: str = "") -> str:
    """'1 stop', '3 stops', 'no stops'."""
    word = one if count == 1 else many or f"{one}s"
    return f"{count or 'no'} {word}"


def _entries(notebook: Notebook, survey: Survey, stops: list[Stop]) -> dict[str, list[Entry]]:
    """The entries of each stop in order of time; photos of no stop under ''."""
    ids = [stop.id for stop in stops]
    found: list[Entry] = list(notebook.all(Photo, survey_id=survey.id))
    if ids:
        for kind in (Sighting, Reading, SpeedRun, Remark):
            found.extend(notebook.all(kind, stop_id=ids))
    by_stop: dict[str, list[Entry]] = defaultdict(list)
    for entry in sorted(found, key=_moment):
        by_stop[entry.stop_id or ""].append(entry)
    return by_stop


def _summary(stops: list[Stop], entries: int, survey: Survey) -> str:
    """'Wednesday 10 June 2026 · 3 stops · 12 entries'."""
    first = min((stop.time_utc for stop in stops), default=None)
    day = day_text(first.astimezone(ZoneInfo(survey.time_zone)).date()) if first else ""
    return joined([day, counted(len(stops), "stop"), counted(entries, "entry", "entries")])


def _moment(entry: Entry) -> tuple[datetime, str]:
    """When it was; a sighting has no time of its own but that of its writing."""
    when = getattr(entry, "time_utc", None) or entry.created_utc
    assert when is not None
    return when, entry.id


def _stop_item(stop: Stop, names: _Names) -> DayItem:
    wide = stop.position_sigma_m is not None and stop.position_sigma_m > WIDE_SIGMA_M
    nowhere = stop.lat_deg is None
    return DayItem(
        icon="stop",
        text=f"Stop {stop.number}",
        detail=stop.place_text or ("" if nowhere else position_text(stop)),
        sheet="stop",
        row_id=stop.id,
        value=clock_text(stop.time_utc, names.time_zone),
        doubt="No position yet." if nowhere else "Position worse than 25 m." if wide else "",
        leads=True,
        inside=False,
    )


def _item(entry: Entry, names: _Names) -> DayItem:
    said = {
        Sighting: _sighting, Reading: _reading, SpeedRun: _run, Photo: _photo, Remark: _remark,
    }  # fmt: skip
    text, detail, value = said[type(entry)](entry, names)
    sheet = _SHEETS[type(entry)]
    return DayItem(sheet, text, detail, sheet, entry.id, value)


_SHEETS: dict[type[Row], str] = {
    Sighting: "sighting", Reading: "reading", SpeedRun: "speed_run", Photo: "photo",
    Remark: "remark",
}  # fmt: skip


def _sighting(entry: Sighting, names: _Names) -> tuple[str, str, str]:
    site = names.sites.get(entry.site_id, "a site")
    return f"Sighting of {site}", sighting_text(entry), degrees(entry.bearing_deg)


def _reading(entry: Reading, names: _Names) -> tuple[str, str, str]:
    carrier = main_carrier(entry)
    level = with_unit(carrier.rsrp_dbm, "dBm") if carrier and carrier.rsrp_dbm is not None else ""
    others = levels_text(replace(carrier, rsrp_dbm=None)) if carrier else ""
    detail = joined([reading_text(entry), others])
    return f"Reading, {names.devices.get(entry.device_id, 'a phone')}", detail, level


def _run(entry: SpeedRun, names: _Names) -> tuple[str, str, str]:
    detail = joined([rates_text(entry), run_text(entry)])
    return f"Speed run, {names.devices.get(entry.device_id, 'a phone')}", detail, ""


def _photo(entry: Photo, names: _Names) -> tuple[str, str, str]:
    looks = f"looks {degrees(entry.direction_deg)}" if entry.direction_deg is not None else ""
    when = clock_text(entry.time_utc, names.time_zone) if entry.time_utc else ""
    return "Photo", joined([entry.caption, looks]), when


def _remark(entry: Remark, names: _Names) -> tuple[str, str, str]:
    kind = str(entry.kind)
    who = names.devices.get(entry.device_id or "", "")
    title = f"Remark, {kind}" if kind != "other" else "Remark"
    return title, joined([entry.text, who]), ""
