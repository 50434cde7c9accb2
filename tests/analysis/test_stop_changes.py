"""Entries put where they belong: nothing is lost, and only what should change does."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from surveyapp.analysis.stop_changes import joined, moved, shifted, split_off
from surveyapp.errors import InvalidValue
from surveyapp.model import Photo, Preparation, Reading, Remark, Sighting, Stop

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)
ONE_METRE = 1.0
FIRST = Stop(
    survey_id="s", number=1, time_utc=NOON, lat_deg=60.0, lon_deg=25.0, position_sigma_m=20.0,
    place_text="Mill Street",
)  # fmt: skip
SECOND = replace(
    FIRST, id="second", number=2, time_utc=NOON + timedelta(minutes=9), lat_deg=60.001,
    position_sigma_m=5.0, place_text="",
)  # fmt: skip
READING = Reading(stop_id=FIRST.id, device_id="a", time_utc=NOON + timedelta(minutes=4))
REMARK = Remark(stop_id=SECOND.id, time_utc=NOON + timedelta(minutes=10), device_id="a")


def test_moved_entries_keep_all_but_their_stop() -> None:
    """A photo changes its survey with its stop, a reading nothing else."""
    other = replace(SECOND, survey_id="other")
    photo = Photo(survey_id="s", stop_id=FIRST.id, file="f.jpg")
    reading, picture = moved([READING, photo], other)

    assert reading == replace(READING, stop_id=other.id)
    assert picture == replace(photo, stop_id=other.id, survey_id="other")


def test_a_stop_split_off_begins_with_its_first_entry_where_the_old_one_lies() -> None:
    """Its number is the one given; a sighting counts from when it was written down."""
    sighting = Sighting(stop_id=FIRST.id, site_id="x", created_utc=NOON + timedelta(minutes=2))
    made, entries = split_off([READING, sighting], FIRST, 7)

    assert (made.number, made.time_utc) == (7, NOON + timedelta(minutes=2))
    assert (made.lat_deg, made.position_sigma_m) == (60.0, 20.0)
    assert {one.stop_id for one in entries} == {made.id}
    assert made.id != FIRST.id


def test_joined_stops_leave_one_with_all_entries_at_the_better_place() -> None:
    """The earlier stop stays and takes the position good to 5 m; 0.001 degree is 111 m."""
    found = joined([SECOND, FIRST], [READING, REMARK])

    assert (found.stop.id, found.stop.number, found.stop.time_utc) == (FIRST.id, 1, NOON)
    assert (found.stop.lat_deg, found.stop.position_sigma_m) == (60.001, 5.0)
    assert found.stop.place_text == "Mill Street"
    assert found.entries == (replace(REMARK, stop_id=FIRST.id),)
    assert found.gone == (SECOND,)
    assert found.apart_m == pytest.approx(111.4, abs=ONE_METRE)


def test_a_stop_without_a_place_takes_that_of_the_other() -> None:
    """And how far they lay apart is not known."""
    bare = replace(FIRST, lat_deg=None, lon_deg=None, position_sigma_m=None)
    found = joined([bare, SECOND], [])

    assert found.stop.lat_deg == 60.001
    assert found.apart_m is None


def test_stops_of_two_surveys_or_a_single_one_are_not_joined() -> None:
    """One sentence says what to choose."""
    with pytest.raises(InvalidValue, match="two or more of one survey"):
        joined([FIRST], [])
    with pytest.raises(InvalidValue, match="two or more of one survey"):
        joined([FIRST, replace(SECOND, survey_id="other")], [])
    with pytest.raises(InvalidValue, match="nothing to split off"):
        split_off([], FIRST, 2)


def test_a_clock_set_right_moves_every_time_of_the_phones_rows() -> None:
    """Ticks of a preparation too, those never made stay so; there and back is as before."""
    ticks = Preparation(stop_id=FIRST.id, device_id="a", radio_reset_utc=NOON)
    by = timedelta(minutes=-61, seconds=-30)
    reading, remark, preparation = shifted([READING, REMARK, ticks], by)

    assert reading.time_utc == NOON - timedelta(minutes=57, seconds=30)
    assert preparation.radio_reset_utc == NOON + by
    assert preparation.network_mode_utc is None
    assert shifted([reading, remark, preparation], -by) == (READING, REMARK, ticks)


def test_no_shift_and_an_endless_one_are_refused() -> None:
    """Neither sets a clock right."""
    for by in (timedelta(0), timedelta(days=500)):
        with pytest.raises(InvalidValue, match="at most 400 days"):
            shifted([READING], by)
