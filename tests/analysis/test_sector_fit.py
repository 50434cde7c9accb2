"""Log-distance fits: against scipy, against known truth, and what they refuse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, stats

from surveyapp.analysis.boresight_range import boresight_range
from surveyapp.analysis.intervals import (
    chance_below,
    chi_square_quantile,
    normal_cdf,
    student_cdf,
    student_quantile,
)
from surveyapp.analysis.sector_fit import MeasuredPlace, fit_sector, offsets
from surveyapp.errors import NoAnswer, OutOfRange
from tests.analysis.walks import (
    EXPONENT,
    INTERCEPT_DBM,
    PANEL,
    SIGMA_DB,
    places,
    true_level,
    true_range_m,
    turned,
    walk,
)
from tests.benchmarks.coverage_calibration import held

MILLIONTH = 1e-6
HUNDREDTH_DB = 0.01


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 7, 30, 299, 300, 5000])
def test_quantiles_agree_with_scipy(degrees: int) -> None:
    """Student's t and chi-square as scipy.stats has them."""
    for chance in (0.02275, 0.16, 0.84, 0.975, 0.995):
        near = 2e-4 if degrees >= 300 else 1e-6
        assert student_quantile(chance, degrees) == pytest.approx(
            stats.t.ppf(chance, degrees), rel=near
        )
        assert chi_square_quantile(chance, degrees) == pytest.approx(
            stats.chi2.ppf(chance, degrees), rel=near
        )


def test_distributions_agree_with_scipy() -> None:
    """The distributions themselves, and the table used on grids."""
    value = np.linspace(-9.0, 9.0, 1001)

    np.testing.assert_allclose(normal_cdf(value), stats.norm.cdf(value), atol=1e-12)
    for degrees in (1, 2, 5, 12):
        np.testing.assert_allclose(
            student_cdf(value, degrees), stats.t.cdf(value, degrees), atol=1e-12
        )
        np.testing.assert_allclose(
            chance_below(value, degrees), stats.t.cdf(value, degrees), atol=2e-5
        )
    np.testing.assert_allclose(chance_below(value, None), stats.norm.cdf(value), atol=2e-5)


def test_a_fit_agrees_with_scipys_regression() -> None:
    """n, intercept, standard errors and sigma as scipy.stats.linregress gives them."""
    measured = walk(np.random.default_rng(1), 15)
    fit = fit_sector(PANEL, measured)
    ground, bearing = offsets(PANEL, measured)
    gain = PANEL.gain_db(bearing - 130.0, ground)
    decades = -10.0 * np.log10(np.hypot(ground, 6.5) / 10.0)
    line = stats.linregress(decades, np.array([p.rsrp_dbm for p in measured]) - gain)

    assert fit.exponent == pytest.approx(line.slope, abs=MILLIONTH)
    assert fit.intercept_dbm == pytest.approx(line.intercept, abs=MILLIONTH)
    assert fit.exponent_sigma == pytest.approx(line.stderr, abs=MILLIONTH)
    assert fit.intercept_sigma_db == pytest.approx(line.intercept_stderr, abs=MILLIONTH)
    assert sum(fit.residuals_db) == pytest.approx(0.0, abs=MILLIONTH)


def test_what_a_blocked_sight_takes_agrees_with_scipys_least_squares() -> None:
    """Three figures at once, with their covariance from scipy.optimize's own Jacobian."""
    random = np.random.default_rng(2)
    measured = [
        replace(place, clear=index % 3 != 0, rsrp_dbm=place.rsrp_dbm - 15.0 * (index % 3 == 0))
        for index, place in enumerate(walk(random, 18))
    ]
    fit = fit_sector(PANEL, measured)
    ground, bearing = offsets(PANEL, measured)
    level = np.array([p.rsrp_dbm for p in measured]) - PANEL.gain_db(bearing - 130.0, ground)
    hidden = np.array([p.clear is False for p in measured], dtype=float)

    def residuals(figures: np.ndarray) -> np.ndarray:
        decades = np.log10(np.hypot(ground, 6.5) / 10.0)
        return level - (figures[0] - 10.0 * figures[1] * decades - figures[2] * hidden)

    found = optimize.least_squares(residuals, np.array([-50.0, 2.0, 0.0]))
    covariance = 2.0 * found.cost / 15 * np.linalg.inv(found.jac.T @ found.jac)

    assert fit.blocked_db == pytest.approx(found.x[2], abs=1e-4)
    np.testing.assert_allclose(
        [fit.intercept_sigma_db, fit.exponent_sigma, fit.blocked_sigma_db],
        np.sqrt(np.diag(covariance)),
        atol=1e-4,
    )
    assert fit.blocked_db == pytest.approx(15.0, abs=3 * (fit.blocked_sigma_db or 0.0))


def test_exact_readings_give_the_exact_figures() -> None:
    """Without fading the fit returns what the levels were made from."""
    away = np.array([20.0, 40.0, 80.0, 160.0, 200.0])
    east, north = away * np.sin(np.radians(110.0)), away * np.cos(np.radians(110.0))
    fit = fit_sector(PANEL, places(east, north, true_level(PANEL, east, north)))

    assert fit.exponent == pytest.approx(EXPONENT, abs=1e-4)
    assert fit.intercept_dbm == pytest.approx(INTERCEPT_DBM, abs=HUNDREDTH_DB)
    assert fit.sigma_db == pytest.approx(0.0, abs=HUNDREDTH_DB)


def test_intervals_hold_what_they_say() -> None:
    """n, sigma, range and azimuth: the 95 % intervals of 60 simulated walks (seed fixed).

    The long run is tests/benchmarks/coverage_calibration.py.
    """
    for name, (inside, given) in held(12, 60, 0.95).items():
        assert given >= 58, name
        assert inside >= 0.87 * given, name  # four standard errors below 95 % of 60


def test_residuals_show_the_fading() -> None:
    """Sigma comes out near what was simulated, within its own 99 % interval."""
    low, high = fit_sector(PANEL, walk(np.random.default_rng(3), 60)).sigma_interval_db(0.99)

    assert low < SIGMA_DB < high


def test_the_range_is_where_the_fitted_level_meets_the_threshold() -> None:
    """With many readings the range on boresight is the simulated one, its interval close about."""
    fit = fit_sector(PANEL, walk(np.random.default_rng(4), 400, sigma_db=1.0))
    found = boresight_range(fit, -85.0)
    truth_m = true_range_m(-85.0)

    assert found.range_m == pytest.approx(truth_m, rel=0.03)
    assert found.high_m is not None
    assert found.low_m < truth_m < found.high_m
    assert not found.beyond_readings
    assert boresight_range(fit, -105.0).beyond_readings


def test_a_vague_fit_has_no_far_end() -> None:
    """Readings that do not tell how fast the level falls leave the range open."""
    measured = walk(np.random.default_rng(11), 5, sigma_db=9.0)
    fit = fit_sector(PANEL, measured)
    found = boresight_range(fit, fit.intercept_dbm - 25.0, 0.99)

    assert found.high_m is None or found.high_m > 2.0 * found.range_m


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        ([], "no place"),
        (walk(np.random.default_rng(5), 1), "1 place,"),
        (walk(np.random.default_rng(5), 3), "3 places,"),
        (places(np.full(6, 40.0) + np.arange(6), np.zeros(6), np.full(6, -70.0)), "one distance"),
    ],
)
def test_too_little_is_refused_with_the_reason(measured: list[MeasuredPlace], words: str) -> None:
    """Fewer places than a fit needs, or all at one distance."""
    with pytest.raises(NoAnswer, match=words):
        fit_sector(PANEL, measured)


def test_a_panel_without_an_azimuth_is_refused() -> None:
    """The pattern cannot be taken out."""
    with pytest.raises(NoAnswer, match="no azimuth"):
        fit_sector(turned(PANEL, None), walk(np.random.default_rng(6)))


def test_an_impossible_threshold_is_one_sentence() -> None:
    """No phone reports +30 dBm; a level the sector never reaches is told as such."""
    fit = fit_sector(PANEL, walk(np.random.default_rng(7)))

    with pytest.raises(OutOfRange, match="threshold"):
        boresight_range(fit, 30.0)
    with pytest.raises(NoAnswer, match="nowhere along its boresight"):
        boresight_range(fit, -29.0)
    with pytest.raises(NoAnswer, match="5 km"):
        boresight_range(fit, -156.0)


def test_an_odd_exponent_is_remarked_upon() -> None:
    """A level that grows with distance is no propagation: the fit says so."""
    away = np.array([20.0, 40.0, 80.0, 160.0])
    east, north = away * np.sin(np.radians(130.0)), away * np.cos(np.radians(130.0))
    fit = fit_sector(PANEL, places(east, north, np.array([-90.0, -85.0, -82.0, -79.0])))

    assert "outside the usual" in fit.remarks[0]


def test_a_single_place_out_of_sight_is_left_out() -> None:
    """One blocked place tells nothing of what blocking takes and would spoil n."""
    measured = [replace(place, clear=True) for place in walk(np.random.default_rng(8), 8)]
    measured.append(replace(walk(np.random.default_rng(9), 1)[0], clear=False, rsrp_dbm=-120.0))
    fit = fit_sector(PANEL, measured)

    assert len(fit.measured) == 8
    assert fit.by_sight
    assert fit.blocked_db is None
    assert "too few" in fit.remarks[0]
