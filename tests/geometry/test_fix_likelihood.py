"""The likelihood behind a fix: its derivatives, its information and its spread."""

from __future__ import annotations

import math

import numpy as np
import pytest

from surveyapp.geometry.bearings import rays_of
from surveyapp.geometry.fix_likelihood import Rays, most_likely, robust, spread, standardised
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.sightings import Bearing
from tests.geometry.published import BILLIONTH_DEG
from tests.geometry.scenes import SITE, around_site, sighting

MILLIONTH = 1e-6
TENTH_MM = 1e-4


def rays(bearings: list[Bearing]) -> Rays:
    """Sightings in a plane about the site."""
    return rays_of(Plane(*SITE), bearings)


@pytest.mark.parametrize("at", [(3.0, -4.0), (-25.0, 40.0), (0.5, 130.0)])
def test_the_slopes_are_those_of_the_residuals(at: tuple[float, float]) -> None:
    """Central differences agree, with position errors, ranges and weights in play."""
    seen = rays(
        [
            sighting(10.0, 80.0, 20.0, position_sigma_m=8.0),
            sighting(100.0, 60.0, -35.0, sigma_deg=3.0),
            Bearing(*SITE, 33.0, 4.0, 2.0, 45.0, 3.0),
        ]
    )
    weights, here, step = np.array([1.0, 0.4, 0.7]), np.array(at), 1e-4
    numeric = np.column_stack(
        [
            (seen.residuals(here + move, weights) - seen.residuals(here - move, weights))
            / (2 * step)
            for move in (np.array([step, 0.0]), np.array([0.0, step]))
        ]
    )

    assert seen.slopes(here, weights) == pytest.approx(numeric, abs=MILLIONTH)


def test_without_error_the_information_is_that_of_the_slopes() -> None:
    """Where residuals vanish, Fisher's matrix is the Gauss-Newton one."""
    seen = rays(around_site((0.0, 0.0, 0.0), distance_sigma_m=2.0))
    slopes = seen.slopes(np.zeros(2))

    assert seen.information(np.zeros(2)) == pytest.approx(slopes.T @ slopes, rel=1e-9)


@pytest.mark.parametrize(("sigma_deg", "count"), [(1.0, 5), (5.0, 3), (8.0, 3)])
def test_the_spread_is_the_second_moment_of_the_likelihood(sigma_deg: float, count: int) -> None:
    """A fine grid over the plane (brute force) agrees within 4 percent, also at 8 degrees."""
    seen = rays(around_site((2.0, -3.0, 1.0, 2.0, -1.0)[:count], sigma_deg=sigma_deg))
    at = most_likely(seen)
    reach_m = 6.0 * math.sqrt(np.linalg.eigvalsh(spread(seen, at))[-1])
    step = np.stack(np.meshgrid(*[np.linspace(-reach_m, reach_m, 161)] * 2), -1).reshape(-1, 2)
    mass = np.exp(-seen.deviance(at + step) / 2)
    brute = (step.T * mass) @ step / mass.sum()

    assert spread(seen, at) == pytest.approx(brute, abs=0.04 * np.trace(brute))


def test_to_first_order_the_spread_is_the_inverse_information() -> None:
    """At half a degree the likelihood is all but normal."""
    seen = rays(around_site((0.0,) * 5, sigma_deg=0.5))
    plain = np.linalg.inv(seen.information(np.zeros(2)))

    assert spread(seen, np.zeros(2)) == pytest.approx(plain, abs=0.002 * np.trace(plain))


def test_the_robust_position_ignores_what_is_far_off() -> None:
    """Four exact bearings and a wild one meet at the site as if it were not there."""
    seen = rays(around_site((0.0, 0.0, 70.0, 0.0, 0.0)))
    at = robust(seen)

    assert np.hypot(*at) < TENTH_MM
    assert np.flatnonzero(standardised(seen, at) > 3.0).tolist() == [2]


def test_a_bearing_is_turned_to_the_planes_north() -> None:
    """Away from the plane's centre its north leans, and an exact bearing still points home."""
    seen = rays([sighting(90.0, 5_000.0), sighting(200.0, 9_000.0)])

    assert np.degrees(seen.off_rad(np.zeros(2))) == pytest.approx(
        [0.0, 0.0], abs=1e3 * BILLIONTH_DEG
    )
