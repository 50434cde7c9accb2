"""A fix from sightings of a site whose place is known, and the refusals."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pyproj
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import chi2

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.chi_square import chi_square_survival
from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.sightings import Bearing, Fix, ellipse, fix
from tests.geometry.published import ONE_MILLIMETRE, rows
from tests.geometry.scenes import SITE, around_site, sighting

TEN_MICROMETRES = 1e-5
TENTH_MM = 1e-4
HUNDREDTH_DEG = 0.01
PRECISE = {"xatol": 1e-9, "fatol": 1e-15, "maxiter": 1000}
OFFS_DEG = (3.0, -2.0, 1.0, -3.0, 2.0)


def miss_m(found: Fix) -> float:
    """How far the fix lies from the site."""
    return inverse(found.lat_deg, found.lon_deg, *SITE).distance_m


@pytest.mark.parametrize("count", [2, 3, 5, 9])
def test_bearings_without_error_meet_at_the_site(count: int) -> None:
    """To ten micrometres, with residuals of nothing, even 100 m apart on a curved Earth."""
    found = fix([sighting(20.0 + 70.0 * index, 80.0) for index in range(count)])

    assert miss_m(found) < TEN_MICROMETRES
    assert found.residuals_deg == pytest.approx([0.0] * count, abs=1e-6)
    assert found.outliers == ()


def test_the_fix_is_where_a_general_optimiser_finds_the_highest_likelihood() -> None:
    """The von Mises likelihood on PROJ's geodesics, by scipy's minimize: same to 0.1 mm."""
    sigmas_deg = (2.0, 3.0, 4.0, 5.0, 6.0)
    bearings = [
        replace(bearing, sigma_deg=sigma_deg)
        for bearing, sigma_deg in zip(around_site(OFFS_DEG), sigmas_deg, strict=True)
    ]
    lat, lon, seen = np.array([(b.lat_deg, b.lon_deg, b.bearing_deg) for b in bearings]).T
    kappa = 1 / np.radians(sigmas_deg) ** 2
    proj = pyproj.Geod(ellps="WGS84")

    def minus_log_likelihood(step: np.ndarray) -> float:
        there = np.array(SITE) + step * 1e-5
        towards, _, _ = proj.inv(lon, lat, np.full(5, there[1]), np.full(5, there[0]))
        return -float(np.sum(kappa * np.cos(np.radians(seen - towards))))

    step = minimize(minus_log_likelihood, [1.0, 1.0], method="Nelder-Mead", options=PRECISE).x
    oracle = np.array(SITE) + step * 1e-5
    found = fix(bearings)

    assert inverse(found.lat_deg, found.lon_deg, *oracle).distance_m < TENTH_MM


def test_lenths_sixth_bearing_is_named_when_the_sigma_is_given() -> None:
    """His eight bearings in units of 100 m: index 5 is out, and the target in the ellipse."""
    plane = Plane(*SITE)
    bearings = []
    for row in rows("bearings_lenth1981.csv"):
        lat_deg, lon_deg = plane.to_world(100.0 * row["x"], 100.0 * row["y"])
        bearings.append(Bearing(float(lat_deg), float(lon_deg), row["bearing_deg"], 3.0))
    found = fix(bearings)
    east_m, north_m = plane.to_plane(found.lat_deg, found.lon_deg)

    assert found.outliers == (5,)
    assert (east_m, north_m) == pytest.approx((723.0, 198.0), abs=1.0)  # published 7.23, 1.98
    assert math.hypot(east_m - 750.0, north_m - 220.0) < found.ellipse_major_m
    assert "Sighting 6" in found.remarks[0]


@given(st.integers(0, 4), st.floats(40.0, 180.0))
@settings(max_examples=20, deadline=None)
def test_one_wild_sighting_of_five_is_left_out_and_named(index: int, off_deg: float) -> None:
    """Whichever it is and however far off, the fix stays where the other four put it."""
    offs = list(OFFS_DEG)
    offs[index] += off_deg
    found = fix(around_site(offs))
    rest = fix([bearing for at, bearing in enumerate(around_site(offs)) if at != index])

    assert found.outliers == (index,)
    assert (found.lat_deg, found.lon_deg) == pytest.approx((rest.lat_deg, rest.lon_deg), abs=1e-9)


def test_three_that_disagree_are_all_kept_and_said_to_disagree() -> None:
    """Of three any one may be wrong, so none is dropped, and a remark says so."""
    found = fix(around_site((0.0, 0.0, 35.0)))

    assert found.outliers == ()
    assert found.agreement is not None
    assert found.agreement < 0.01
    assert "disagree" in found.remarks[0]


def test_the_fix_leans_to_the_better_bearings_and_the_better_positions() -> None:
    """A sigma ten times as large hands the decision to the others; so does a stop badly known."""
    offs_deg = (0.0, 0.0, 0.0, 6.0)
    good = around_site(offs_deg)
    plain = fix(good)
    better = fix([*good[:3], around_site(offs_deg, sigma_deg=50.0)[3]])
    placed = fix([*good[:3], around_site(offs_deg, position_sigma_m=60.0)[3]])

    assert miss_m(better) < miss_m(plain) / 5
    assert miss_m(placed) < miss_m(plain) / 5


def test_sightings_of_one_stop_share_its_position_error() -> None:
    """Ten bearings from one badly known stop tell hardly more than one; ten good ones do."""
    other = sighting(20.0, 80.0, sigma_deg=1.0)
    badly = sighting(110.0, 80.0, sigma_deg=1.0, position_sigma_m=20.0)
    well = replace(badly, position_sigma_m=0.0)
    one, ten = fix([other, badly]), fix([other, *[badly] * 10])

    assert ten.ellipse_major_m == pytest.approx(one.ellipse_major_m, rel=0.02)
    assert fix([other, *[well] * 10]).ellipse_minor_m < 0.4 * fix([other, well]).ellipse_minor_m


def test_the_stops_position_error_moves_a_measured_distance_too() -> None:
    """10 m of GPS error each way round a rangefinder's reading: a circle of 24.5 m."""
    ranged = replace(
        sighting(180.0, 100.0, sigma_deg=0.1, position_sigma_m=10.0),
        distance_m=100.0,
        distance_sigma_m=0.1,
    )
    found = fix([ranged])

    assert found.ellipse_major_m == pytest.approx(24.5, rel=0.05)
    assert found.ellipse_minor_m == pytest.approx(24.5, rel=0.05)


def test_a_measured_distance_joins_and_one_sighting_with_it_is_enough() -> None:
    """30 m away by rangefinder: the place lies 30 m along the bearing, thin along it."""
    by_eye_alone = replace(sighting(180.0, 30.0, sigma_deg=5.0), distance_m=30.0)
    alone = fix([replace(by_eye_alone, distance_sigma_m=0.5)])
    by_eye = fix([by_eye_alone])

    assert miss_m(alone) < ONE_MILLIMETRE
    assert alone.ellipse_major_m == pytest.approx(math.sqrt(5.991) * 30 * math.radians(5), rel=0.05)
    assert alone.ellipse_azimuth_deg == pytest.approx(90.0, abs=0.1)
    assert by_eye.ellipse_azimuth_deg % 180.0 == pytest.approx(0.0, abs=0.1)


def test_a_distance_opens_what_parallel_bearings_leave_open() -> None:
    """Two stops in line with the site cross nowhere, but with a distance they do."""
    in_line = [sighting(90.0, 40.0), sighting(90.0, 80.0)]
    found = fix([replace(in_line[0], distance_m=40.0, distance_sigma_m=1.0), in_line[1]])

    assert miss_m(found) < ONE_MILLIMETRE


@pytest.mark.parametrize(
    ("bearings", "reason"),
    [
        ([], "no sighting"),
        ([sighting(0.0, 80.0)], "one stop"),
        ([sighting(0.0, 80.0), sighting(0.0, 80.0, 20.0)], "one stop"),
        ([sighting(0.0, 80.0), sighting(3.0, 80.0)], "only 3.0 degrees"),
        ([sighting(0.0, 80.0), sighting(180.0, 80.0)], "only 0.0 degrees"),
        ([sighting(0.0, 80.0), sighting(6.0, 80.0, sigma_deg=15.0)], "too flat"),
        ([sighting(0.0, 80.0, 180.0), sighting(90.0, 80.0)], "behind the observer of sighting 1"),
        ([sighting(0.0, 80.0, 180.0), sighting(90.0, 80.0, 180.0)], "sighting 1 and 2"),
        (around_site((180.0, 180.0, 180.0)), "point apart|behind"),
        ([sighting(0.0, 80.0), sighting(90.0, 80_000.0)], "20 km apart"),
    ],
)  # fmt: skip
def test_sightings_that_determine_nothing_are_refused_with_the_reason(
    bearings: list[Bearing], reason: str
) -> None:
    """None, one, parallel, in line, too flat, behind, apart: each has its sentence."""
    with pytest.raises(NoAnswer, match=reason):
        fix(bearings)


@given(
    st.lists(
        st.builds(
            sighting,
            st.floats(0.0, 359.0),
            st.floats(0.5, 3_000.0),
            st.floats(-180.0, 180.0),
            sigma_deg=st.floats(0.1, 30.0),
            position_sigma_m=st.sampled_from([0.0, 5.0, 50.0]),
            distance_sigma_m=st.just(5.0),
        ),
        min_size=1,
        max_size=6,
    )
)
@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
def test_any_sightings_end_in_a_finite_fix_or_a_reason(bearings: list[Bearing]) -> None:
    """However wild, nothing but NoAnswer is raised and nothing but numbers comes out."""
    try:
        found = fix(bearings)
    except NoAnswer:
        return

    assert math.isfinite(found.lat_deg + found.lon_deg + found.ellipse_major_m)
    assert found.ellipse_major_m >= found.ellipse_minor_m > 0.0
    assert 0.0 <= found.ellipse_azimuth_deg < 180.0
    assert len(found.residuals_deg) == len(bearings)


def test_an_ellipse_never_collapses_to_a_line() -> None:
    """Two sightings from one ill-known stop and one from afar once gave a minor axis of zero."""
    near = {"sigma_deg": 3.0351513714616267, "position_sigma_m": 50.0, "distance_sigma_m": 5.0}
    far = {"sigma_deg": 29.0, "position_sigma_m": 50.0, "distance_sigma_m": 5.0}
    found = fix(
        [
            sighting(307.54192394424456, 1.9, -90.0, **near),
            sighting(0.2, 1930.6557083129785, 0.0, **far),
            sighting(307.54192394424456, 1.9, 29.0, **near),
        ]
    )

    assert found.ellipse_minor_m > 1.0


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("bearing_deg", 360.0, "bearing 360 is outside"),
        ("bearing_deg", -1.0, "bearing -1 is outside"),
        ("lat_deg", 95.0, "latitude 95"),
        ("sigma_deg", 0.0, "sigma of the bearing 0"),
        ("position_sigma_m", -1.0, "position sigma -1"),
        ("distance_m", -5.0, "distance -5"),
        ("distance_sigma_m", 0.0, "sigma of the distance 0"),
    ],
)
def test_a_bearing_of_no_use_is_refused(field: str, value: float, message: str) -> None:
    """Nothing is turned into another direction or place."""
    with pytest.raises(OutOfRange, match=message):
        replace(sighting(0.0, 80.0), **{field: value})
    with pytest.raises(InvalidValue, match="not a number"):
        replace(sighting(0.0, 80.0), **{field: math.nan})


def test_two_bearings_have_the_ellipse_of_the_textbook() -> None:
    """Crossing at right angles 100 m away with 1 degree each: a circle of 2.448 x 1.745 m."""
    found = fix([sighting(0.0, 100.0, sigma_deg=1.0), sighting(90.0, 100.0, sigma_deg=1.0)])
    radius_m = math.sqrt(chi2.ppf(0.95, 2)) * 100.0 * math.radians(1.0)

    assert found.ellipse_major_m == pytest.approx(radius_m, rel=0.01)
    assert found.ellipse_minor_m == pytest.approx(radius_m, rel=0.01)
    assert found.crossing_deg == pytest.approx(90.0, abs=HUNDREDTH_DEG)
    assert found.agreement is None


@pytest.mark.parametrize("azimuth_deg", [0.0, 30.0, 90.0, 150.0])
def test_the_ellipse_points_along_its_long_axis(azimuth_deg: float) -> None:
    """A covariance laid out along an azimuth gives that azimuth and both axes back."""
    turn = math.radians(azimuth_deg)
    along = np.array([math.sin(turn), math.cos(turn)])
    across = np.array([math.cos(turn), -math.sin(turn)])
    major_m, minor_m, found_deg = ellipse(
        9.0 * np.outer(along, along) + np.outer(across, across), 1.0
    )

    assert (major_m, minor_m) == pytest.approx((3.0, 1.0), abs=1e-9)
    assert math.remainder(found_deg - azimuth_deg, 180.0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 7, 10])
@pytest.mark.parametrize("value", [0.0, 0.1, 2.0, 5.991, 30.0])
def test_the_agreement_is_scipys_chi_square(value: float, degrees: int) -> None:
    """scipy.stats.chi2.sf as the oracle."""
    assert chi_square_survival(value, degrees) == pytest.approx(chi2.sf(value, degrees), abs=1e-14)


def test_the_site_may_stand_by_the_antimeridian() -> None:
    """West of it and east of it are one neighbourhood."""
    site = (-17.0, 179.9999)
    stops = [destination(*site, azimuth_deg, 80.0) for azimuth_deg in (80.0, 200.0, 320.0)]
    found = fix([Bearing(*stop, inverse(*stop, *site).azimuth_deg) for stop in stops])

    assert inverse(found.lat_deg, found.lon_deg, *site).distance_m < TEN_MICROMETRES
