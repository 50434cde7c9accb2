"""Compass check, and bearings by two points."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from surveyapp.errors import InvalidValue, NoAnswer
from surveyapp.geometry.compass_check import (
    KnownBearing,
    bearing_by_two_points,
    compass_offset,
    corrected_bearing_deg,
    offset_in_force,
)
from surveyapp.geometry.geodesy import destination
from surveyapp.model import CompassCheck

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
HUNDREDTH_DEG = 0.01


def check(hours_ago: float, offset_deg: float, device_id: str = "a") -> CompassCheck:
    """A check made some hours ago."""
    return CompassCheck(
        survey_id="s", device_id=device_id, time_utc=NOW - timedelta(hours=hours_ago),
        offset_deg=offset_deg,
    )  # fmt: skip


def test_a_bearing_by_two_points_is_the_geodesic_with_its_own_sigma() -> None:
    """200 m away, both known to 3 m along each axis: atan(3 sqrt 2 / 200), 1.2 degrees."""
    to = destination(60.17, 24.94, 123.0, 200.0)
    found = bearing_by_two_points(60.17, 24.94, *to, from_sigma_m=3.0, to_sigma_m=3.0)

    assert found.bearing_deg == pytest.approx(123.0, abs=HUNDREDTH_DEG)
    assert found.sigma_deg == pytest.approx(1.215, abs=HUNDREDTH_DEG)


def test_points_too_near_give_no_bearing() -> None:
    """Ten metres with errors of ten metres, or no distance at all."""
    to = destination(60.17, 24.94, 0.0, 10.0)
    with pytest.raises(NoAnswer, match="further away"):
        bearing_by_two_points(60.17, 24.94, *to, from_sigma_m=8.0, to_sigma_m=6.0)
    with pytest.raises(NoAnswer):
        bearing_by_two_points(60.17, 24.94, 60.17, 24.94)


@pytest.mark.parametrize(
    ("known_deg", "read_deg", "offset_deg"), [(10.0, 4.5, 5.5), (2.0, 358.0, 4.0), (358, 2, -4)]
)
def test_the_offset_is_what_must_be_added(
    known_deg: float, read_deg: float, offset_deg: float
) -> None:
    """Across north too; corrected, the reading is the known bearing again."""
    found = compass_offset(KnownBearing(known_deg, 1.0, 200.0), read_deg, 2.0)
    kept = offset_in_force([check(0.0, found.offset_deg)], "a", NOW)

    assert found.offset_deg == pytest.approx(offset_deg)
    assert found.sigma_deg == pytest.approx(5**0.5)
    assert found.doubt == ""
    assert corrected_bearing_deg(read_deg, kept) == pytest.approx(known_deg)


def test_an_offset_too_large_to_be_true_is_doubted() -> None:
    """A wrong thing sighted, or steel."""
    assert "+40 degrees" in compass_offset(KnownBearing(40.0, 1.0, 200.0), 0.0).doubt
    with pytest.raises(InvalidValue):
        compass_offset(KnownBearing(40.0, 1.0, 200.0), float("nan"))


def test_the_newest_check_of_this_phone_and_day_counts() -> None:
    """Not another phone's, not yesterday's, not one made later."""
    checks = [check(3.0, 1.0), check(1.0, 2.0), check(0.5, 9.0, "b"), check(-1.0, 8.0)]
    kept = offset_in_force(checks, "a", NOW)

    assert kept is not None
    assert (kept.check.offset_deg, kept.age_s) == (2.0, 3600.0)
    assert offset_in_force([check(13.0, 1.0)], "a", NOW) is None
    assert corrected_bearing_deg(-10.0, None) == 350.0
