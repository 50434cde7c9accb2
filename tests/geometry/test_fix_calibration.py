"""A small run of the calibration benchmark: the fix is near its bound, its ellipse is honest."""

from __future__ import annotations

import math

import pytest

from tests.benchmarks.fix_calibration import Score, score

TRIALS = 200
THREE_STANDARD_ERRORS = 3 * math.sqrt(0.95 * 0.05 / TRIALS)


@pytest.fixture(scope="module", params=[(5.0, 3, 0.0), (2.0, 6, 4.0)], ids=["5 deg", "with GPS"])
def row(request: pytest.FixtureRequest) -> Score:
    """Sums of one scenario of the benchmark."""
    return score(*request.param, TRIALS)


def test_the_error_stays_near_the_cramer_rao_bound(row: Score) -> None:
    """At most 1.15 times, refusing next to nothing that stands well."""
    assert row.trials == TRIALS
    assert row.refused <= 2
    assert row.ratio <= 1.15


def test_the_ellipse_holds_the_truth_as_often_as_it_says(row: Score) -> None:
    """95 percent, within three standard errors of a sample this small."""
    assert abs(row.coverage - 0.95) < THREE_STANDARD_ERRORS
