"""Stops made from photos where none was taken: pictures of one place and time are one stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from surveyapp.analysis.photo_sorting import LONGEST, NEAR_M
from surveyapp.geometry.date_line import amid
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import PositionFrom, Stop


@dataclass(frozen=True, kw_only=True, slots=True)
class TakenAt:
    """A photo that tells when and where it was taken; `name` is the caller's."""

    name: str
    time_utc: datetime
    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoStop:
    """A new stop and the names of the photos taken there."""

    stop: Stop
    names: tuple[str, ...]


def stops_of_photos(
    photos: Sequence[TakenAt], survey_id: str, first_number: int
) -> tuple[PhotoStop, ...]:
    """The stops in order of time, numbered from `first_number`.

    A photo joins the stop before it while it was taken within NEAR_M of that stop's first photo
    and within LONGEST of it; the stop lies at the mean of its photos.
    """
    groups: list[list[TakenAt]] = []
    for photo in sorted(photos, key=lambda one: one.time_utc):
        if groups and _belongs(photo, groups[-1][0]):
            groups[-1].append(photo)
        else:
            groups.append([photo])
    return tuple(
        PhotoStop(
            stop=Stop(
                survey_id=survey_id,
                number=first_number + at,
                time_utc=group[0].time_utc,
                lat_deg=lat_deg,
                lon_deg=lon_deg,
                position_from=PositionFrom.RECORD,
            ),
            names=tuple(photo.name for photo in group),
        )
        for at, group in enumerate(groups)
        for lat_deg, lon_deg in [amid([(photo.lat_deg, photo.lon_deg) for photo in group])]
    )


def _belongs(photo: TakenAt, first: TakenAt) -> bool:
    """Whether a photo was taken at the same stop as an earlier one."""
    if photo.time_utc - first.time_utc > LONGEST:
        return False
    if (photo.lat_deg, photo.lon_deg) == (first.lat_deg, first.lon_deg):
        return True
    apart = inverse(first.lat_deg, first.lon_deg, photo.lat_deg, photo.lon_deg)
    return apart.distance_m <= NEAR_M
