"""Stops made from photos: one for each place and time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from surveyapp.analysis.photo_stops import TakenAt, stops_of_photos
from surveyapp.geometry.geodesy import destination

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)
HERE = (60.17, 24.94)
MICRODEGREE = 1e-6


def taken(name: str, minutes: float, east_m: float) -> TakenAt:
    """A photo so many minutes after noon, so far east of here."""
    lat_deg, lon_deg = destination(*HERE, 90.0, east_m)
    return TakenAt(
        name=name, time_utc=NOON + timedelta(minutes=minutes), lat_deg=lat_deg, lon_deg=lon_deg
    )


def test_photos_of_one_place_and_time_are_one_stop_at_their_mean() -> None:
    """10 m apart is one stop, 200 m on the next; whatever order the files come in."""
    photos = [taken("c", 9, 200.0), taken("a", 0, 0.0), taken("b", 2, 10.0)]
    first, second = stops_of_photos(photos, "s", 7)

    assert (first.names, second.names) == (("a", "b"), ("c",))
    assert (first.stop.number, second.stop.number) == (7, 8)
    assert (first.stop.time_utc, first.stop.survey_id) == (NOON, "s")
    assert first.stop.lon_deg == pytest.approx(destination(*HERE, 90.0, 5.0)[1], abs=MICRODEGREE)


def test_the_same_place_an_hour_later_is_another_stop() -> None:
    """One came back there."""
    found = stops_of_photos([taken("a", 0, 0.0), taken("b", 60, 0.0)], "s", 1)

    assert [one.names for one in found] == [("a",), ("b",)]


def test_no_photo_makes_no_stop() -> None:
    """Nothing in, nothing out."""
    assert stops_of_photos([], "s", 1) == ()
