"""Bearings as read, turned to true north by the declination at the stop. No Kivy here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from surveyapp.errors import SurveyError
from surveyapp.model import NorthReference, Sighting, Stop


def declination_at_stop_deg(stop: Stop | None) -> float | None:
    """The declination where and when the stop was made; None without position or model."""
    if stop is None or stop.lat_deg is None or stop.lon_deg is None:
        return None
    return declination_at_deg(stop.lat_deg, stop.lon_deg, stop.time_utc.date())


def declination_at_deg(lat_deg: float, lon_deg: float, on: date) -> float | None:
    """The declination at a place on a day; None where the model does not reach."""
    from surveyapp.geometry.headings import declination  # the page of a new stop needs none

    try:
        return declination(lat_deg, lon_deg, on).declination_deg
    except SurveyError:
        return None


def true_bearing_deg(
    raw_deg: float, reference: NorthReference, declination_deg: float | None
) -> float | None:
    """A bearing against true north; None for a magnetic one without a declination."""
    from surveyapp.geometry.geodesy import normalise_azimuth_deg

    if reference is NorthReference.TRUE:
        return normalise_azimuth_deg(raw_deg)
    return None if declination_deg is None else normalise_azimuth_deg(raw_deg + declination_deg)


def turned_to_true(sighting: Sighting, stop: Stop) -> Sighting:
    """A sighting with its true bearing worked out for the place of its stop."""
    if sighting.raw_bearing_deg is None or sighting.raw_reference is NorthReference.TRUE:
        return sighting
    turn = declination_at_stop_deg(stop)
    true = true_bearing_deg(sighting.raw_bearing_deg, sighting.raw_reference, turn)
    return replace(sighting, bearing_deg=true, declination_deg=turn)
