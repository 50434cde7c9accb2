"""A walked track, and the stops where its walker stood still."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from surveyapp.exchange.content import Brought, Trouble
from surveyapp.geometry.date_line import amid
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import PositionFrom, Row, Stop, Survey

STILL_M = 15.0  # a receiver in a hand that stands still stays within this, common practice
STILL = timedelta(seconds=60)  # shorter halts are crossings and greetings, our choice
FIRST_YEAR = 2018  # before any 5G phone: a receiver's clock that says earlier is wrong
ROLLOVER = timedelta(weeks=1024)  # IS-GPS-200, the week number's ten bits


@dataclass(frozen=True, kw_only=True, slots=True)
class TrackPoint:
    """One point of a track; `time_utc` is None where the file does not tell it."""

    lat_deg: float
    lon_deg: float
    time_utc: datetime | None = None


def track_brought(path: Path, points: Sequence[TrackPoint], troubles: Sequence[Trouble]) -> Brought:
    """A survey of the stops a track tells of; its ids follow from the file's own bytes, so that
    the same file gives the same rows again."""
    with open(path, "rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    survey_id = str(uuid.uuid5(uuid.NAMESPACE_OID, digest))
    timed = sorted(
        (point for point in points if point.time_utc is not None), key=lambda one: _time(one)
    )
    rows: list[Row] = [
        Stop(
            id=str(uuid.uuid5(uuid.NAMESPACE_OID, f"{digest} {number}")),
            survey_id=survey_id,
            number=number,
            time_utc=_time(halt[0]),
            lat_deg=lat_deg,
            lon_deg=lon_deg,
            position_from=PositionFrom.RECORD,
        )
        for number, halt in enumerate(halts(timed), start=1)
        for lat_deg, lon_deg in [amid([(point.lat_deg, point.lon_deg) for point in halt])]
    ]
    if rows:
        rows.insert(0, Survey(id=survey_id, title=path.stem))
    return Brought(
        rows=tuple(rows), troubles=tuple(troubles), notes=tuple(_notes(points, timed, len(rows)))
    )


def halts(points: Sequence[TrackPoint]) -> Iterator[list[TrackPoint]]:
    """Runs of timed points that stay within STILL_M of their first for STILL at least."""
    held: list[TrackPoint] = []
    for point in points:
        if held and _apart_m(held[0], point) > STILL_M:
            if _time(held[-1]) - _time(held[0]) >= STILL:
                yield held
                held = []
            near = (n for n, one in enumerate(held) if _apart_m(one, point) <= STILL_M)
            del held[: next(near, len(held))]
        held.append(point)
    if held and _time(held[-1]) - _time(held[0]) >= STILL:
        yield held


def _notes(points: Sequence[TrackPoint], timed: Sequence[TrackPoint], rows: int) -> Iterator[str]:
    if points and not timed:
        yield "The track has no times, so no halt can be told in it."
    elif timed and not rows:
        yield f"Nowhere did the track stand still for {STILL.seconds} seconds: no stop was made."
    if timed and _time(timed[0]).year < FIRST_YEAR:
        yield f"{_wrong_clock(_time(timed[0]))} The times were kept as they are."
    elif rows:
        yield "The position of each stop is the mean of its points, kept without a sigma."


def _wrong_clock(first: datetime) -> str:
    """What the clock of a log says, and the likeliest reason that makes it a possible day."""
    said = f"The clock of the log says {first:%Y-%m-%d}, before any 5G phone"
    for times, behind in ((1, "1024 weeks"), (2, "2048 weeks")):
        found = first + times * ROLLOVER
        if FIRST_YEAR <= found.year < FIRST_YEAR + 20:
            return (
                f"{said}: a receiver whose week count ran over is {behind} behind, which would "
                f"make it {found:%Y-%m-%d}."
            )
    if FIRST_YEAR <= first.year + 100 < FIRST_YEAR + 82:  # two digits taken for the last century
        return f"{said}: the century is wrong, and {first.year + 100} would be possible."
    return f"{said}: it is wrong."


def _time(point: TrackPoint) -> datetime:
    assert point.time_utc is not None, "only timed points are asked"
    return point.time_utc


def _apart_m(one: TrackPoint, other: TrackPoint) -> float:
    if (one.lat_deg, one.lon_deg) == (other.lat_deg, other.lon_deg):
        return 0.0
    return inverse(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg).distance_m
