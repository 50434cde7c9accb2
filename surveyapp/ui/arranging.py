"""Entries put where they belong, each as one action that Undo takes back. No Kivy here."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from surveyapp.analysis.stop_changes import Entry, joined, moved, shifted, split_off
from surveyapp.model import (
    CompassCheck,
    Device,
    Photo,
    Preparation,
    Reading,
    Remark,
    Row,
    Sighting,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store.notebook import Notebook
from surveyapp.ui.north import turned_to_true
from surveyapp.ui.session import Session
from surveyapp.ui.words import counted, number

ENTRIES = (Sighting, Reading, SpeedRun, Photo, Remark, Preparation)
NUMBERS_STAY = "The other stops keep their numbers: your notes and pictures may name them."
OF_A_PHONE = (Reading, SpeedRun, Remark, Preparation)


def move(session: Session, entries: Sequence[Entry], stop: Stop) -> None:
    """The entries belong to another stop."""
    away = [one for one in entries if one.stop_id != stop.id]
    rows = _at(stop, moved(away, stop))
    _save(session, rows, f"move of {_entries(rows)} to stop {stop.number}")


def split(session: Session, entries: Sequence[Entry], stop: Stop) -> None:
    """The entries make a stop of their own."""
    following = session.notebook.next_stop_number(stop.survey_id)
    made, rows = split_off(entries, stop, following)
    what = f"split of stop {stop.number}, {_entries(rows)} to stop {made.number}"
    _save(session, (made, *rows), what, more=NUMBERS_STAY)


def join(session: Session, stops: Sequence[Stop]) -> None:
    """The stops are one."""
    ids = [stop.id for stop in stops]
    entries = [row for kind in ENTRIES for row in session.notebook.all(kind, stop_id=ids)]
    found = joined(stops, entries)
    numbers = " and ".join(str(stop.number) for stop in (found.stop, *found.gone))
    apart = f", {number(found.apart_m, 0)} m apart" if found.apart_m is not None else ""
    rows = (found.stop, *_at(found.stop, found.entries))
    _save(session, rows, f"join of stops {numbers}{apart}", found.gone)


def set_clock(session: Session, survey: Survey, device: Device, by: timedelta) -> None:
    """A phone's clock was wrong throughout a survey: every time it noted moves by so much."""
    rows = rows_of_phone(session.notebook, survey, device)
    minutes = number(by / timedelta(minutes=1), 1)
    what = f"shift of {counted(len(rows), 'entry', 'entries')} of {device.label} by {minutes} min"
    _save(session, shifted(rows, by), what)


def rows_of_phone(
    notebook: Notebook, survey: Survey, device: Device
) -> list[Reading | SpeedRun | Remark | Preparation | CompassCheck]:
    """All of a survey whose time is by this phone's clock."""
    stops = [stop.id for stop in notebook.all(Stop, survey_id=survey.id)]
    found = [
        row for kind in OF_A_PHONE for row in notebook.all(kind, stop_id=stops, device_id=device.id)
    ]
    checks = notebook.all(CompassCheck, survey_id=survey.id, device_id=device.id)
    return [*found, *checks]


def _at(stop: Stop, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Bearings that had no true north at their old stop get it at the new one."""
    return tuple(
        turned_to_true(one, stop) if isinstance(one, Sighting) and one.bearing_deg is None else one
        for one in entries
    )


def _entries(rows: Sequence[Entry]) -> str:
    return counted(len(rows), "entry", "entries")


def _save(
    session: Session, rows: Sequence[Row], what: str, gone: Sequence[Row] = (), more: str = ""
) -> None:
    """Save as one action, and offer to take it back."""
    session.notebook.save(*rows, what=what, gone=gone)
    if session.stop is not None and session.stop.id in {row.id for row in gone}:
        session.go_to_stop(rows[0].id)
    session.refresh()
    session.said.fire(f"Done: {what}. {more}".strip(), True)
