"""The entries of a stop as lines of a list, in the order they were made. No Kivy here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from surveyapp.analysis.preparation import Tick, ticks_before
from surveyapp.model import Row, SpeedRun, StopScene
from surveyapp.ui.words import (
    clock_text,
    degrees,
    joined,
    levels_text,
    main_carrier,
    rates_text,
    reading_text,
    run_text,
    sighting_text,
)


@dataclass(frozen=True)
class EntryLine:
    """One entry: `sheet` opens it for `row`; `text`, `detail` and `value` are shown."""

    sheet: str
    row: Row
    text: str
    detail: str = ""
    value: str = ""
    time_utc: datetime | None = None


def entry_lines(scene: StopScene) -> list[EntryLine]:
    """Every entry of the stop, the newest first."""
    lines = [
        *_sightings(scene),
        *_readings(scene),
        *_runs(scene),
        *_photos(scene),
        *_remarks(scene),
    ]
    return sorted(lines, key=lambda line: _made(line.row), reverse=True)


def _made(row: Row) -> str:
    return row.created_utc.isoformat() if row.created_utc else ""


def _clock(scene: StopScene, moment: datetime | None) -> str:
    return clock_text(moment, scene.survey.time_zone) if moment else ""


def _labels(scene: StopScene) -> dict[str, str]:
    return {device.id: device.label for device in scene.devices}


def _sightings(scene: StopScene) -> Iterator[EntryLine]:
    sites = {site.id: site.name for site in scene.sites}
    panels = {sector.id: sector.label for sector in scene.sectors}
    for row in scene.sightings:
        panel = panels.get(row.sector_id or "", "")
        name = f"{sites.get(row.site_id, 'A site')} {panel}".strip()
        true = row.bearing_deg is not None
        read = f"{degrees(row.raw_bearing_deg)} as read" if row.raw_bearing_deg is not None else ""
        bearing = degrees(row.bearing_deg) if true else ""
        detail = joined([sighting_text(row), "" if true else read])
        yield EntryLine("sighting", row, name, detail, bearing, row.created_utc)


def _readings(scene: StopScene) -> Iterator[EntryLine]:
    labels = _labels(scene)
    for row in scene.readings:
        carrier = main_carrier(row)
        levels = levels_text(carrier) if carrier else ""
        pci = f"PCI {carrier.pci}" if carrier and carrier.pci is not None else ""
        when = _clock(scene, row.time_utc)
        yield EntryLine(
            "reading",
            row,
            joined([labels.get(row.device_id, "A phone"), reading_text(row)]),
            joined([levels, pci, when]),
            "",
            row.time_utc,
        )


def _runs(scene: StopScene) -> Iterator[EntryLine]:
    labels = _labels(scene)
    for row in scene.speed_runs:
        yield EntryLine(
            "speed_run",
            row,
            joined([labels.get(row.device_id, "A phone"), rates_text(row)]),
            joined([run_text(row), _prepared(scene, row), _clock(scene, row.time_utc)]),
            "",
            row.time_utc,
        )


def _prepared(scene: StopScene, run: SpeedRun) -> str:
    """How much of the list before the runs was ticked for this one."""
    ticks = ticks_before(run, scene.preparations)
    return f"{len(ticks)} of {len(Tick)} made sure of" if ticks else ""


def _photos(scene: StopScene) -> Iterator[EntryLine]:
    for row in scene.photos:
        towards = f"towards {degrees(row.direction_deg)}" if row.direction_deg is not None else ""
        detail = joined([towards, _clock(scene, row.time_utc)])
        yield EntryLine("photo", row, row.caption or "Photo", detail, "", row.time_utc)


def _remarks(scene: StopScene) -> Iterator[EntryLine]:
    labels = _labels(scene)
    for row in scene.remarks:
        kind = row.kind.value[:1].upper() + row.kind.value[1:]
        about = [labels.get(row.device_id, "")] if row.device_id else []
        yield EntryLine(
            "remark",
            row,
            row.text or kind,
            joined([kind if row.text else "", *about, _clock(scene, row.time_utc)]),
            "",
            row.time_utc,
        )
