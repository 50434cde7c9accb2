"""Lenth's published worked example: both maximum-likelihood rows and the robust one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from surveyapp.errors import NoAnswer
from tests.geometry.equal_sigma import EqualSigmaFix, equal_sigma_fix, kappa_of
from tests.geometry.published import rows

HALF_HUNDREDTH = 0.005  # positions are published to 0.01
HALF_THOUSANDTH = 0.0005  # standard errors and correlations to 0.001

LENTH = rows("bearings_lenth1981.csv")
SIXTH = 5


def fitted(*, without: int | None = None, robustly: bool = False) -> EqualSigmaFix:
    """The fix of the published bearings, one of them dropped."""
    kept = [row for index, row in enumerate(LENTH) if index != without]
    return equal_sigma_fix(
        [row["x"] for row in kept],
        [row["y"] for row in kept],
        [row["bearing_deg"] for row in kept],
        robustly=robustly,
    )


@pytest.mark.parametrize(
    ("without", "robustly", "published"),
    [
        (SIXTH, False, (7.23, 1.98, 0.156, 0.156, 0.664)),
        (None, False, (5.87, 1.13, 1.490, 1.733, 0.509)),
        (None, True, (7.21, 1.97, 0.156, 0.155, 0.669)),
    ],
    ids=["seven bearings", "eight bearings", "eight bearings, Andrews"],
)
def test_lenths_rows_come_out_as_printed(
    without: int | None, robustly: bool, published: tuple[float, ...]
) -> None:
    """Position, standard errors and correlation to the last printed digit."""
    assert len(LENTH) == 8
    found = fitted(without=without, robustly=robustly)
    errors = np.sqrt(np.diag(found.covariance_m2))
    correlation = found.covariance_m2[0, 1] / errors.prod()

    assert [found.east_m, found.north_m] == pytest.approx(published[:2], abs=HALF_HUNDREDTH)
    assert [*errors, correlation] == pytest.approx(published[2:], abs=HALF_THOUSANDTH)


def test_the_robust_fit_gives_the_sixth_bearing_no_weight() -> None:
    """It is the one that Lenth drops by hand, and the only one."""
    weights = fitted(robustly=True).weights

    assert weights[SIXTH] == 0.0
    assert min(weight for index, weight in enumerate(weights) if index != SIXTH) > 0.7


def test_the_scatter_tells_the_common_sigma() -> None:
    """Seven of Lenth's bearings scatter by three degrees, eight by twenty-four."""
    assert fitted(without=SIXTH).sigma_deg == pytest.approx(2.88, abs=HALF_HUNDREDTH)
    assert fitted().sigma_deg == pytest.approx(24.45, abs=HALF_HUNDREDTH)


def test_two_bearings_tell_no_sigma_and_opposite_ones_agree_on_nothing() -> None:
    """Each refusal says why."""
    with pytest.raises(NoAnswer, match="three bearings"):
        equal_sigma_fix([0.0, 10.0], [0.0, 0.0], [45.0, 315.0])
    with pytest.raises(NoAnswer, match="agree on nothing"):
        kappa_of(np.array([2.0, -2.5, 3.0]), np.ones(3))


def test_bearings_that_meet_in_a_point_give_that_point() -> None:
    """With no scatter at all the covariance is finite and all but nothing."""
    found = equal_sigma_fix([0.0, 10.0, 5.0], [0.0, 0.0, -5.0], [45.0, 315.0, 0.0])

    assert (found.east_m, found.north_m) == pytest.approx((5.0, 5.0), abs=1e-6)
    assert math.sqrt(found.covariance_m2.max()) < 1e-3
