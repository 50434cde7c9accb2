"""Declination against all official points of the World Magnetic Model 2025."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import circmean

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.geodesy import angle_between_deg
from surveyapp.geometry.headings import (
    decimal_year,
    declination,
    declination_at,
    declination_sigma_deg,
    magnetic_from_true,
    mean_direction,
    true_from_magnetic,
)
from tests.geometry.published import BILLIONTH_DEG, columns

HALF_HUNDREDTH_DEG = 0.005 + 1e-9  # the tables give angles to 0.01 degree
THOUSANDTH_NT = 1e-3  # pygeomag rounds the polar radius to 0.1 mm, which moves the seventh digit
HALF_TENTH_NT = 0.05 + 1e-9

TEST_VALUES = columns("wmm2025_test_values.txt")
REPORT_TABLE = columns("wmm2025_report_table.txt")


def test_the_official_points_are_all_there() -> None:
    """A hundred test values and twelve of the report."""
    assert len(TEST_VALUES) == 100
    assert len(REPORT_TABLE) == 12


@pytest.mark.parametrize("row", TEST_VALUES, ids=lambda row: f"{row[0]}/{row[2]}/{row[3]}")
def test_the_official_test_values_hold_to_their_rounding(row: list[float]) -> None:
    """Declination and inclination to 0.01 degree, intensities to a thousandth of a nanotesla."""
    year, height_km, lat_deg, lon_deg, declination_deg, inclination_deg, horizontal_nt = row[:7]
    field = declination_at(lat_deg, lon_deg, year, height_km * 1000.0)

    assert field.declination_deg == pytest.approx(declination_deg, abs=HALF_HUNDREDTH_DEG)
    assert field.inclination_deg == pytest.approx(inclination_deg, abs=HALF_HUNDREDTH_DEG)
    assert field.horizontal_nt == pytest.approx(horizontal_nt, abs=THOUSANDTH_NT)
    assert field.total_nt == pytest.approx(row[10], abs=THOUSANDTH_NT)


@pytest.mark.parametrize("row", REPORT_TABLE, ids=lambda row: f"{row[0]}/{row[1]}/{row[2]}")
def test_the_reports_table_holds_to_its_rounding(row: list[float]) -> None:
    """Twelve points of the technical report: 0.01 degree and 0.1 nanotesla."""
    year, height_km, lat_deg, lon_deg = row[:4]
    field = declination_at(lat_deg, math.remainder(lon_deg, 360.0), year, height_km * 1000.0)

    assert field.horizontal_nt == pytest.approx(row[7], abs=HALF_TENTH_NT)
    assert field.total_nt == pytest.approx(row[8], abs=HALF_TENTH_NT)
    assert field.inclination_deg == pytest.approx(row[9], abs=HALF_HUNDREDTH_DEG)
    assert field.declination_deg == pytest.approx(row[10], abs=HALF_HUNDREDTH_DEG)


def test_a_day_counts_as_its_share_of_the_year() -> None:
    """The model's years are decimal; 2028 has 366 days, and both ends of the range count."""
    assert decimal_year(date(2025, 1, 1)) == 2025.0
    assert decimal_year(date(2028, 7, 1)) == 2028.0 + 182 / 366
    assert decimal_year(date(2027, 7, 1)) == 2027.0 + 181 / 365
    assert declination(60.17, 24.94, date(2030, 1, 1)).declination_deg == (
        declination_at(60.17, 24.94, 2030.0, 0.0).declination_deg
    )


def test_the_models_own_uncertainty_grows_as_the_horizontal_field_fades() -> None:
    """sqrt(0.26^2 + (5417 / H)^2): 0.375 degrees at 20,000 nT, of no use near the poles."""
    assert declination_sigma_deg(20_000.0) == pytest.approx(0.3754, abs=5e-5)
    assert declination_sigma_deg(1.0) == 180.0
    assert declination_sigma_deg(0.0) == 180.0


def test_a_compass_near_a_magnetic_pole_is_warned_about() -> None:
    """Blackout below 2,000 nT, caution below 6,000 nT, silence in town."""
    blackout = declination_at(86.0, 140.0, 2025.0, 0.0)
    caution = declination_at(80.0, -96.0, 2025.0, 48_000.0)

    assert blackout.horizontal_nt < 2_000.0
    assert "blackout zone" in blackout.warning
    assert 2_000.0 < caution.horizontal_nt < 6_000.0
    assert "caution zone" in caution.warning
    assert declination(60.17, 24.94, date(2026, 5, 4)).warning == ""


@pytest.mark.parametrize("on", [date(2024, 12, 31), date(2030, 1, 2), date(1990, 1, 1)])
def test_a_day_outside_the_models_years_is_refused(on: date) -> None:
    """The model ends with 2029; older and later days get a reason, not a number."""
    with pytest.raises(OutOfRange, match=r"2025\.0 to 2030\.0"):
        declination(60.0, 25.0, on)


def test_a_place_or_a_height_outside_the_model_is_refused() -> None:
    """A kilometre below ground is the end of it, and NaN is nowhere."""
    with pytest.raises(OutOfRange, match="height -2000 m"):
        declination(60.0, 25.0, date(2026, 1, 1), -2_000.0)
    with pytest.raises(OutOfRange, match="latitude 91"):
        declination(91.0, 25.0, date(2026, 1, 1))
    with pytest.raises(InvalidValue, match="longitude is not a number"):
        declination(60.0, math.nan, date(2026, 1, 1))


@given(st.floats(0.0, 359.0), st.floats(-180.0, 180.0))
def test_a_compass_bearing_comes_back_from_the_true_one(
    bearing_deg: float, declination_deg: float
) -> None:
    """Magnetic to true and back ends where it began, and stays in [0, 360) on the way."""
    true_deg = true_from_magnetic(bearing_deg, declination_deg)
    back_deg = magnetic_from_true(true_deg, declination_deg)

    assert 0.0 <= true_deg < 360.0
    assert abs(angle_between_deg(bearing_deg, back_deg)) < BILLIONTH_DEG


def test_east_declination_turns_a_compass_bearing_clockwise() -> None:
    """10 degrees east: compass 355 is true 5."""
    assert true_from_magnetic(355.0, 10.0) == 5.0
    assert magnetic_from_true(5.0, 10.0) == 355.0


@given(st.lists(st.floats(0.0, 90.0), min_size=1, max_size=9))
def test_the_mean_of_directions_is_that_of_scipy(azimuths_deg: list[float]) -> None:
    """scipy.stats.circmean as the oracle, and turning all turns the mean."""
    mean = mean_direction([azimuth - 45.0 for azimuth in azimuths_deg])
    oracle = circmean(azimuths_deg, high=360.0, low=0.0) - 45.0

    assert abs(angle_between_deg(oracle, mean.azimuth_deg)) < BILLIONTH_DEG
    assert 0.0 < mean.length <= 1.0 + BILLIONTH_DEG


def test_weights_pull_the_mean_and_opposites_have_none() -> None:
    """350 and 10 meet at north; three times the weight goes with 3; 0 and 180 cancel."""
    assert abs(angle_between_deg(0.0, mean_direction([350.0, 10.0]).azimuth_deg)) < BILLIONTH_DEG
    assert mean_direction([0.0, 90.0], [3.0, 1.0]).azimuth_deg == pytest.approx(
        math.degrees(math.atan2(1.0, 3.0)), abs=BILLIONTH_DEG
    )
    with pytest.raises(NoAnswer, match="cancel"):
        mean_direction([0.0, 180.0])
    with pytest.raises(NoAnswer, match="no direction"):
        mean_direction([])
