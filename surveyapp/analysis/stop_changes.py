"""Entries put where they belong: moved to another stop, split off, stops joined, a clock set right.

Each gives the rows to be saved as one action; nothing here touches a notebook.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from surveyapp.errors import InvalidValue
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import (
    CompassCheck,
    Photo,
    Preparation,
    Reading,
    Remark,
    Sighting,
    SpeedRun,
    Stop,
)

Entry = Sighting | Reading | SpeedRun | Photo | Remark | Preparation
Timed = Reading | SpeedRun | Remark | Preparation | CompassCheck
LONGEST_SHIFT = timedelta(days=400)  # a clock that lost its battery begins a year or more back


@dataclass(frozen=True, kw_only=True, slots=True)
class Joined:
    """Stops made one: the stop that stays, the entries now at it, the stops that go, and how
    far apart they lay (None where one had no position)."""

    stop: Stop
    entries: tuple[Entry, ...]
    gone: tuple[Stop, ...]
    apart_m: float | None


def moved(entries: Sequence[Entry], stop: Stop) -> tuple[Entry, ...]:
    """The entries at another stop; a photo goes with the stop's survey too."""
    return tuple(
        replace(one, stop_id=stop.id, survey_id=stop.survey_id)
        if isinstance(one, Photo)
        else replace(one, stop_id=stop.id)
        for one in entries
    )


def split_off(entries: Sequence[Entry], stop: Stop, number: int) -> tuple[Stop, tuple[Entry, ...]]:
    """A new stop of that number for some entries of `stop`, begun when the first was made.

    It lies where `stop` lies until it is placed anew. Raises InvalidValue without any entry.
    """
    if not entries:
        raise InvalidValue("There is nothing to split off: choose the entries first.")
    times = [time for one in entries if (time := _time(one)) is not None]
    made = Stop(
        survey_id=stop.survey_id,
        number=number,
        time_utc=min(times, default=stop.time_utc),
        lat_deg=stop.lat_deg,
        lon_deg=stop.lon_deg,
        position_sigma_m=stop.position_sigma_m,
        position_from=stop.position_from,
        place_text=stop.place_text,
    )
    return made, moved(entries, made)


def joined(stops: Sequence[Stop], entries: Sequence[Entry]) -> Joined:
    """The earliest of the stops with the entries of all, at the best known of their places.

    `entries` are those of all the stops. Raises InvalidValue for fewer than two stops and for
    stops of different surveys.
    """
    if len(stops) < 2 or len({stop.survey_id for stop in stops}) > 1:
        raise InvalidValue("To join stops, choose two or more of one survey.")
    first, *others = sorted(stops, key=lambda stop: (stop.time_utc, stop.number))
    best = min(stops, key=_blur_m)
    kept = replace(
        first,
        lat_deg=best.lat_deg,
        lon_deg=best.lon_deg,
        position_sigma_m=best.position_sigma_m,
        position_from=best.position_from,
        place_text=best.place_text or first.place_text,
    )
    away = tuple(one for one in entries if one.stop_id != kept.id)
    return Joined(stop=kept, entries=moved(away, kept), gone=tuple(others), apart_m=_apart_m(stops))


def shifted(rows: Sequence[Timed], by: timedelta) -> tuple[Timed, ...]:
    """The rows with every time of theirs later by so much (earlier where it is negative).

    Raises InvalidValue for no shift at all and for one beyond LONGEST_SHIFT.
    """
    if not by or abs(by) > LONGEST_SHIFT:
        raise InvalidValue(
            f"A clock is set right by some time, at most {LONGEST_SHIFT.days} days.", value=by
        )
    return tuple(_shifted(row, by) for row in rows)


def _shifted(row: Timed, by: timedelta) -> Timed:
    if not isinstance(row, Preparation):
        return replace(row, time_utc=row.time_utc + by)
    return replace(
        row,
        radio_reset_utc=_later(row.radio_reset_utc, by),
        network_mode_utc=_later(row.network_mode_utc, by),
        battery_and_heat_utc=_later(row.battery_and_heat_utc, by),
        server_chosen_utc=_later(row.server_chosen_utc, by),
    )


def _later(moment: datetime | None, by: timedelta) -> datetime | None:
    return None if moment is None else moment + by


def _time(entry: Entry) -> datetime | None:
    """When an entry was made: its own time, else when it came into the notebook."""
    own: datetime | None = getattr(entry, "time_utc", None)
    return own or entry.created_utc


def _blur_m(stop: Stop) -> float:
    """How well a stop is placed; without a sigma worse than with any, without a place worst."""
    if stop.lat_deg is None:
        return float("inf")
    return 1e6 if stop.position_sigma_m is None else stop.position_sigma_m


def _apart_m(stops: Sequence[Stop]) -> float | None:
    places = [(stop.lat_deg, stop.lon_deg) for stop in stops]
    placed = [(lat, lon) for lat, lon in places if lat is not None and lon is not None]
    if len(placed) < len(stops):
        return None
    return max(inverse(*one, *other).distance_m for one in placed for other in placed)
