"""Photos sorted to stops by time and place, with true, missing and absurd data."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from surveyapp.analysis.photo_sorting import sort_photo
from surveyapp.geometry.geodesy import destination
from surveyapp.model import Stop

START = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
LAT_DEG, LON_DEG = 60.17, 24.94


def at(east_m: float) -> dict[str, float]:
    """A place so far east of the first stop."""
    azimuth_deg = 90.0 if east_m >= 0 else 270.0
    lat_deg, lon_deg = destination(LAT_DEG, LON_DEG, azimuth_deg, abs(east_m))
    return {"lat_deg": lat_deg, "lon_deg": lon_deg}


def minutes(count: float) -> datetime:
    """So long after the first stop began."""
    return START + timedelta(minutes=count)


# Stops 1 to 3: at 0, 100 and 130 m, begun after 0, 20 and 40 minutes; the fourth has no place
STOPS = [
    *(
        Stop(survey_id="s", number=n, time_utc=minutes(20.0 * (n - 1)), **at(east_m))
        for n, east_m in ((1, 0.0), (2, 100.0), (3, 130.0))
    ),
    Stop(survey_id="s", number=4, time_utc=minutes(60.0)),
]


@pytest.mark.parametrize(
    ("time", "east_m", "number", "reason", "doubt"),
    [
        (5, 8.0, 1, "8 m from stop 1 and in its time", ""),
        (25, 112.0, 2, "12 m from stop 2 and in its time", ""),
        (45, 112.0, 3, "18 m from stop 3 and in its time", ""),
        (-1, 3.0, 1, "and in its time", ""),
        (19, 3.0, 1, "and in its time", ""),
        (5, 98.0, 2, "2 m from stop 2", "belongs to stop 1"),
        (-600, 2.0, 1, "2 m from stop 1", "at no stop"),
        (5, 60.0, 2, "40 m from stop 2", "belongs to stop 1"),
        (5, -300.0, None, "300 m from stop 1, the nearest", ""),
        (5, 90_000.0, None, "89.9 km from stop 3, the nearest", ""),
        (None, 3.0, 1, "3 m from stop 1", ""),
        (None, 114.0, 2, "14 m from stop 2", "Stop 3 is about as near"),
        (25, None, 2, "5 min after stop 2 began", ""),
        (20, None, 2, "Taken as stop 2 began", ""),
        (61, None, 4, "1 min after stop 4", ""),
        (600, None, None, "in the time of no stop", ""),
        (-600, None, None, "in the time of no stop", ""),
        (None, None, None, "neither its time nor its place", ""),
    ],
)
def test_a_photo_finds_its_stop(
    time: float | None, east_m: float | None, number: int | None, reason: str, doubt: str
) -> None:
    """Place outweighs a clock; both are named where they differ."""
    where = at(east_m) if east_m is not None else {}
    found = sort_photo(STOPS, time_utc=None if time is None else minutes(time), **where)

    assert (found.stop.number if found.stop else None) == number
    assert reason in found.reason
    assert doubt in found.doubt
    assert bool(doubt) == bool(found.doubt)


def test_a_photo_of_uncertain_place_may_be_further_away() -> None:
    """90 m off with a sigma of 40 m is still within three of them."""
    found = sort_photo(STOPS[:1], **at(90.0), position_sigma_m=40.0)

    assert found.stop is STOPS[0]
    assert sort_photo(STOPS[:1], **at(90.0)).stop is None


def test_without_stops_no_photo_is_sorted() -> None:
    """Nor where none has a position."""
    assert sort_photo([], time_utc=START).stop is None
    assert "No stop has a position" in sort_photo(STOPS[3:], **at(0.0)).reason
