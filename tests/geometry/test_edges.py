"""Poles, the antimeridian, full turns, signed zeros, NaN, identical points, tiny baselines."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.geodesy import (
    angle_between_deg,
    destination,
    inverse,
    normalise_azimuth_deg,
)
from surveyapp.geometry.headings import declination, mean_direction, true_from_magnetic
from surveyapp.geometry.places import place_text
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.position_text import parse_position
from surveyapp.geometry.sightings import Bearing, fix
from surveyapp.model import Street
from tests.geometry.published import ONE_MICROMETRE, TEN_NANOMETRES

MERIDIAN_DEGREE_AT_POLE_M = 111_693.9  # WGS84; 111.694 km in handbooks, from memory
POLES = (90.0, -90.0)
NOT_NUMBERS = (math.nan, math.inf, -math.inf)


def sign(value: float) -> float:
    """+1 or -1, also of a zero."""
    return math.copysign(1.0, value)


@pytest.mark.parametrize("pole_deg", POLES)
def test_poles_are_places_like_any_other(pole_deg: float) -> None:
    """A degree from either pole measures, projects and comes back."""
    near_deg = math.copysign(89.0, pole_deg)
    east_m, north_m = Plane(pole_deg, 0.0).to_plane(near_deg, 120.0)
    lat_deg, lon_deg = Plane(pole_deg, 0.0).to_world(east_m, north_m)

    assert inverse(pole_deg, 0.0, near_deg, 77.0).distance_m == pytest.approx(
        MERIDIAN_DEGREE_AT_POLE_M, abs=0.1
    )
    assert inverse(pole_deg, 10.0, pole_deg, -170.0).distance_m == pytest.approx(
        0.0, abs=TEN_NANOMETRES
    )
    assert math.hypot(east_m, north_m) == pytest.approx(MERIDIAN_DEGREE_AT_POLE_M, abs=0.1)
    assert (lat_deg, lon_deg) == pytest.approx((near_deg, 120.0), abs=1e-12)


@pytest.mark.parametrize("pole_deg", POLES)
def test_a_compass_at_a_pole_gives_a_number(pole_deg: float) -> None:
    """The declination there depends on the longitude it is counted from, but is finite."""
    found = declination(pole_deg, 0.0, date(2026, 5, 4))

    assert math.isfinite(found.declination_deg)
    assert math.isfinite(found.sigma_deg)


def test_the_antimeridian_is_no_border() -> None:
    """+180 and -180 are one line, and a walk across it is short."""
    across = inverse(10.0, 179.9995, 10.0, -179.9995)
    east_m, _ = Plane(10.0, 179.9995).to_plane(10.0, -179.9995)

    assert inverse(10.0, 180.0, 10.0, -180.0).distance_m == 0.0
    assert across.distance_m == pytest.approx(109.6, abs=0.1)
    assert across.azimuth_deg == pytest.approx(90.0, abs=1e-3)
    assert float(east_m) == pytest.approx(across.distance_m, abs=ONE_MICROMETRE)
    assert declination(10.0, 180.0, date(2026, 5, 4)).declination_deg == pytest.approx(
        declination(10.0, -180.0, date(2026, 5, 4)).declination_deg, abs=1e-9
    )
    street = Street(name="Date Line Road", points_deg=((10.0, 179.999), (10.0, -179.999)))
    assert place_text(10.0, -180.0, [street]) == "Date Line Road"
    assert parse_position("10, -180") == (10.0, -180.0)


def test_a_full_turn_is_no_turn() -> None:
    """0 and 360 are one direction, a hair below 0 is not 360, and 180 keeps its sign."""
    assert normalise_azimuth_deg(360.0) == 0.0
    assert normalise_azimuth_deg(-360.0) == 0.0
    assert normalise_azimuth_deg(-1e-20) == 0.0
    assert normalise_azimuth_deg(719.5) == 359.5
    assert angle_between_deg(0.0, 360.0) == 0.0
    assert angle_between_deg(359.0, 1.0) == 2.0
    assert angle_between_deg(1.0, 359.0) == -2.0
    assert angle_between_deg(0.0, 180.0) == 180.0
    assert angle_between_deg(180.0, 0.0) == 180.0
    assert angle_between_deg(0.0, -180.0) == 180.0
    assert true_from_magnetic(359.0, 1.0) == 0.0
    assert mean_direction([359.0, 1.0]).azimuth_deg % 360.0 == pytest.approx(0.0, abs=1e-12)
    assert 0.0 <= inverse(10.0, 20.0, 11.0, 20.0).azimuth_deg < 360.0


def test_no_direction_is_minus_zero() -> None:
    """-0.0 prints with a sign, so none leaves the geometry."""
    for turned in (-0.0, 0.0, -360.0, 360.0, -720.0):
        assert sign(normalise_azimuth_deg(turned)) == 1.0
    assert sign(angle_between_deg(0.0, -0.0)) == 1.0
    assert sign(angle_between_deg(360.0, 0.0)) == 1.0
    assert inverse(-0.0, -0.0, 0.0, 0.0).distance_m == 0.0
    assert inverse(-0.0, 10.0, 0.0, 10.001).azimuth_deg == pytest.approx(90.0, abs=1e-6)


@pytest.mark.parametrize("value", NOT_NUMBERS)
def test_what_is_no_number_is_refused_everywhere(value: float) -> None:
    """NaN and infinities raise; none of them passes through as an answer."""
    calls = (
        lambda: inverse(value, 0.0, 0.0, 0.0),
        lambda: inverse(0.0, 0.0, 0.0, value),
        lambda: destination(0.0, 0.0, value, 1.0),
        lambda: destination(0.0, 0.0, 0.0, value),
        lambda: normalise_azimuth_deg(value),
        lambda: angle_between_deg(value, 0.0),
        lambda: Plane(0.0, value),
        lambda: Plane(0.0, 0.0).to_plane([0.0, value], 0.0),
        lambda: Plane(0.0, 0.0).to_world(value, 0.0),
        lambda: declination(value, 0.0, date(2026, 5, 4)),
        lambda: declination(0.0, 0.0, date(2026, 5, 4), value),
        lambda: true_from_magnetic(value, 0.0),
        lambda: true_from_magnetic(0.0, value),
        lambda: mean_direction([0.0, value]),
        lambda: Bearing(0.0, 0.0, value),
        lambda: place_text(value, 0.0, []),
    )
    for call in calls:
        with pytest.raises(InvalidValue, match="not a number"):
            call()


def test_identical_points_are_nowhere_apart() -> None:
    """Distance 0 exactly, the stated azimuths, the plane's origin, and no fix."""
    assert inverse(60.1699, 24.9384, 60.1699, 24.9384) == (0.0, 0.0, 180.0)
    assert destination(60.1699, 24.9384, 123.0, 0.0) == pytest.approx((60.1699, 24.9384), abs=1e-14)
    assert np.hypot(*Plane(60.1699, 24.9384).to_plane(60.1699, 24.9384)) < TEN_NANOMETRES
    with pytest.raises(NoAnswer, match="one stop"):
        fix([Bearing(60.1699, 24.9384, 10.0), Bearing(60.1699, 24.9384, 80.0)])


@pytest.mark.parametrize("baseline_m", [0.1, 1.0])
@pytest.mark.parametrize("azimuth_deg", [0.0, 37.0, 90.0, 200.0, 315.0])
def test_baselines_of_ten_centimetres_and_a_metre_keep_length_and_direction(
    baseline_m: float, azimuth_deg: float
) -> None:
    """Ten nanometres in length, and as much sideways; the plane agrees."""
    start = (60.1699, 24.9384)
    end = destination(*start, azimuth_deg, baseline_m)
    line = inverse(*start, *end)
    sideways_m = baseline_m * math.radians(angle_between_deg(azimuth_deg, line.azimuth_deg))
    east_m, north_m = Plane(*start).to_plane(*end)

    assert line.distance_m == pytest.approx(baseline_m, abs=TEN_NANOMETRES)
    assert sideways_m == pytest.approx(0.0, abs=TEN_NANOMETRES)
    assert float(east_m) == pytest.approx(
        baseline_m * math.sin(math.radians(azimuth_deg)), abs=TEN_NANOMETRES
    )
    assert float(north_m) == pytest.approx(
        baseline_m * math.cos(math.radians(azimuth_deg)), abs=TEN_NANOMETRES
    )


@pytest.mark.parametrize("baseline_m", [0.1, 1.0])
def test_a_fix_from_stops_this_close_still_meets(baseline_m: float) -> None:
    """Bearings that cross at 90 degrees meet half a baseline ahead."""
    start = (60.1699, 24.9384)
    end = destination(*start, 90.0, baseline_m)
    found = fix([Bearing(*start, 45.0), Bearing(*end, 315.0)])
    line = inverse(*start, found.lat_deg, found.lon_deg)

    assert line.distance_m == pytest.approx(baseline_m / math.sqrt(2.0), abs=ONE_MICROMETRE)
    assert line.azimuth_deg == pytest.approx(45.0, abs=1e-3)


def test_a_latitude_just_beyond_the_pole_is_refused() -> None:
    """The next number after 90 is no latitude."""
    with pytest.raises(OutOfRange, match="latitude"):
        inverse(math.nextafter(90.0, 91.0), 0.0, 0.0, 0.0)
