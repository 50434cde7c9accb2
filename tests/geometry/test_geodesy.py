"""Geodesics against Karney's published lines and PROJ."""

from __future__ import annotations

import math

import pyproj
import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.geodesy import (
    angle_between_deg,
    destination,
    inverse,
    normalise_azimuth_deg,
)
from tests.geometry.published import (
    BILLIONTH_DEG,
    HALF_MILLIONTH_DEG,
    HUNDRED_MILLIONTH_DEG,
    ONE_MICROMETRE,
    ROUNDING_DEG,
    TEN_NANOMETRES,
    rows,
)

KARNEY = rows("geodesic_karney20.csv")
SURVEY_SCALE = rows("geodesic_survey_scale.csv")


def turned(lon_deg: float) -> float:
    """The longitude within -180 to 180."""
    return math.remainder(lon_deg, 360.0)


def east_miss_deg(lat_deg: float, lon_deg: float, found_deg: float) -> float:
    """How far two longitudes lie apart on the ground, in degrees of a great circle."""
    return abs(angle_between_deg(lon_deg, found_deg)) * math.cos(math.radians(lat_deg))


def test_the_published_lines_are_all_there() -> None:
    """Twenty lines by Karney and three of survey scale."""
    assert len(KARNEY) == 20
    assert len(SURVEY_SCALE) == 3


@pytest.mark.parametrize("row", KARNEY)
def test_the_inverse_problem_gives_karneys_distances_and_azimuths(row: dict[str, float]) -> None:
    """Distance to ten nanometres, both azimuths to the rounding of a double."""
    line = inverse(row["lat1_deg"], row["lon1_deg"], row["lat2_deg"], turned(row["lon2_deg"]))
    back_deg = row["azi2_deg"] + 180.0

    assert line.distance_m == pytest.approx(row["s12_m"], abs=TEN_NANOMETRES)
    assert abs(angle_between_deg(row["azi1_deg"], line.azimuth_deg)) <= ROUNDING_DEG
    assert abs(angle_between_deg(back_deg, line.back_azimuth_deg)) <= ROUNDING_DEG


@pytest.mark.parametrize("row", KARNEY)
def test_the_direct_problem_reaches_karneys_points_from_either_end(row: dict[str, float]) -> None:
    """Latitude and longitude to the rounding of a double, there and back."""
    there = destination(row["lat1_deg"], row["lon1_deg"], row["azi1_deg"], row["s12_m"])
    back = destination(
        row["lat2_deg"], turned(row["lon2_deg"]), row["azi2_deg"] + 180.0, row["s12_m"]
    )

    assert there[0] == pytest.approx(row["lat2_deg"], abs=ROUNDING_DEG)
    assert east_miss_deg(row["lat2_deg"], row["lon2_deg"], there[1]) <= ROUNDING_DEG
    assert back[0] == pytest.approx(row["lat1_deg"], abs=ROUNDING_DEG)
    assert east_miss_deg(row["lat1_deg"], row["lon1_deg"], back[1]) <= ROUNDING_DEG


@pytest.mark.parametrize("row", SURVEY_SCALE)
def test_lines_of_survey_scale_have_the_published_length(row: dict[str, float]) -> None:
    """Forty metres to a kilometre, to a micrometre and a hundred-millionth of a degree."""
    line = inverse(row["lat1_deg"], row["lon1_deg"], row["lat2_deg"], row["lon2_deg"])
    known = HALF_MILLIONTH_DEG if row["azimuth_deg"] == 273.716095 else HUNDRED_MILLIONTH_DEG

    assert line.distance_m == pytest.approx(row["distance_m"], abs=ONE_MICROMETRE)
    assert line.azimuth_deg == pytest.approx(row["azimuth_deg"], abs=known)


latitudes = st.floats(-90.0, 90.0)
longitudes = st.floats(-180.0, 180.0)


@given(latitudes, longitudes, st.floats(0.0, 360.0), st.floats(1.0, 1e6))
def test_proj_finds_the_same_points(
    lat_deg: float, lon_deg: float, azimuth_deg: float, distance_m: float
) -> None:
    """PROJ's own geodesics (pyproj.Geod) as a second opinion, to a micrometre."""
    lat2_deg, lon2_deg = destination(lat_deg, lon_deg, azimuth_deg, distance_m)
    lon, lat, _ = pyproj.Geod(ellps="WGS84").fwd(lon_deg, lat_deg, azimuth_deg, distance_m)

    assert inverse(lat, math.remainder(lon, 360.0), lat2_deg, lon2_deg).distance_m < ONE_MICROMETRE


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_the_turn_between_two_directions_leads_from_one_to_the_other(
    from_deg: float, to_deg: float
) -> None:
    """It lies in (-180, 180], and adding it arrives."""
    turn = angle_between_deg(from_deg, to_deg)
    arrived = normalise_azimuth_deg(from_deg + turn)

    assert -180.0 < turn <= 180.0
    assert abs(angle_between_deg(to_deg, arrived)) < BILLIONTH_DEG


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "what"),
    [(90.1, 0.0, "latitude"), (120.0, 60.0, "latitude"), (0.0, 180.5, "longitude")],
)
def test_a_place_that_is_not_on_earth_is_refused(lat_deg: float, lon_deg: float, what: str) -> None:
    """The sentence names the part, and the error carries the value and what would do."""
    with pytest.raises(OutOfRange, match=what) as caught:
        inverse(lat_deg, lon_deg, 0.0, 0.0)

    assert caught.value.value in (lat_deg, lon_deg)
    assert "180" in caught.value.allowed or "90" in caught.value.allowed


def test_distances_that_are_negative_or_no_number_are_refused() -> None:
    """A negative distance is no way of turning round."""
    with pytest.raises(OutOfRange, match="negative"):
        destination(0.0, 0.0, 0.0, -1.0)
    with pytest.raises(InvalidValue, match="distance is not a number"):
        destination(0.0, 0.0, 0.0, math.inf)
