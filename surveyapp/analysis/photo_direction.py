"""Which way a photo looks, against true north."""

from __future__ import annotations

from datetime import date, datetime
from functools import lru_cache

from surveyapp.errors import SurveyError
from surveyapp.geometry.geodesy import normalise_azimuth_deg
from surveyapp.model import NorthReference, Photo, Stop


def true_direction_deg(photo: Photo, stop: Stop | None = None) -> float | None:
    """Degrees clockwise from true north; a magnetic direction is turned by the declination
    where and when the photo was taken, or else its stop was made.

    None where the photo tells no direction or not which north it means, or no place and day.
    """
    towards = photo.direction_deg
    if towards is None or photo.direction_reference is None:
        return None
    if photo.direction_reference is NorthReference.TRUE:
        return normalise_azimuth_deg(towards)
    turn_deg = _declination_deg(photo, stop)
    return None if turn_deg is None else normalise_azimuth_deg(towards + turn_deg)


def _declination_deg(photo: Photo, stop: Stop | None) -> float | None:
    has_place = photo.lat_deg is not None and photo.lon_deg is not None
    lat_deg, lon_deg = photo.lat_deg, photo.lon_deg
    when: datetime | None = photo.time_utc
    if stop is not None:
        when = when or stop.time_utc
        if not has_place:
            lat_deg, lon_deg = stop.lat_deg, stop.lon_deg
    if lat_deg is None or lon_deg is None or when is None:
        return None
    return _declination_near_deg(round(lat_deg, 2), round(lon_deg, 2), when.date())


@lru_cache(maxsize=256)
def _declination_near_deg(lat_deg: float, lon_deg: float, day: date) -> float | None:
    """The declination, once for each square kilometre: pictures come by the dozen."""
    from surveyapp.geometry.headings import declination  # the model is read when first asked

    try:
        return declination(lat_deg, lon_deg, day).declination_deg
    except SurveyError:  # a day or place outside the magnetic model
        return None
