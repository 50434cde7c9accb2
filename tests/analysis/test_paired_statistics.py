"""Each statistic against printed samples and against scipy."""

from __future__ import annotations

import csv
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from surveyapp.analysis.paired_statistics import (
    MOST_EXACT,
    fewest_pairs,
    hodges_lehmann,
    mean_result,
    pairs_needed,
    rank_interval,
    sign_flip,
    signed_rank_probabilities,
)
from surveyapp.analysis.student_t import t_inside, t_limit
from surveyapp.errors import NoAnswer, OutOfRange

AUTHORITY = Path(__file__).parent.parent / "authorities" / "paired_samples.csv"
PRINTED_DIGIT = 5e-10
ROUNDING = 1e-12
FOUR_STANDARD_ERRORS = 4.0


def printed() -> list[dict[str, str]]:
    """The printed samples."""
    lines = AUTHORITY.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", printed(), ids=lambda row: row["name"])
def test_printed_samples_are_answered_to_their_last_digit(row: dict[str, str]) -> None:
    """Student's sleep data and Darwin's maize give the t, p, flips and shift known for them."""
    differences = [float(text) for text in row["differences"].split()]
    mean = mean_result(differences)
    flip = sign_flip(differences)

    assert mean.t == pytest.approx(float(row["t"]), abs=PRINTED_DIGIT)
    assert mean.p == pytest.approx(float(row["p"]), abs=PRINTED_DIGIT)
    assert flip.exact
    assert flip.p * int(row["total"]) == pytest.approx(int(row["flips"]), abs=ROUNDING)
    assert hodges_lehmann(differences) == pytest.approx(float(row["hodges_lehmann"]), abs=ROUNDING)
    if row["low"]:
        assert mean.interval.low == pytest.approx(float(row["low"]), abs=PRINTED_DIGIT)
        assert mean.interval.high == pytest.approx(float(row["high"]), abs=PRINTED_DIGIT)


def test_both_printed_samples_are_there() -> None:
    """The file of printed samples is whole."""
    assert [row["name"] for row in printed()] == ["sleep", "maize"]


@given(st.floats(-60.0, 60.0), st.integers(1, 300))
@settings(max_examples=100, deadline=None)
def test_students_t_is_that_of_scipy(t: float, freedom: int) -> None:
    """The finite series gives scipy's probability."""
    assert t_inside(t, freedom) == pytest.approx(
        1.0 - 2.0 * stats.t.sf(abs(t), freedom), abs=ROUNDING
    )


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 7, 11, 30, 199])
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99])
def test_limits_of_t_are_those_of_scipy(freedom: int, confidence: float) -> None:
    """The inverse agrees too, from one degree of freedom on."""
    wanted = stats.t.ppf((1.0 + confidence) / 2.0, freedom)

    assert t_limit(confidence, freedom) == pytest.approx(wanted, rel=1e-10)


@given(st.lists(st.integers(-40, 40).map(float), min_size=1, max_size=11))
@settings(max_examples=60, deadline=None)
def test_sign_flips_are_counted_as_by_enumeration(differences: list[float]) -> None:
    """Counting in two halves finds what walking through all signings finds, ties included."""
    seen = abs(sum(differences))
    sizes = [abs(value) for value in differences]
    far = sum(
        abs(sum(sign * size for sign, size in zip(signs, sizes, strict=True))) >= seen - 1e-9
        for signs in itertools.product((-1, 1), repeat=len(sizes))
    )

    assert sign_flip(differences).p == pytest.approx(far / 2 ** len(sizes), abs=ROUNDING)


def test_sign_flips_agree_with_scipys_permutation_test() -> None:
    """scipy's exact paired permutation test of the mean gives the same p."""
    differences = np.random.default_rng(3).normal(0.2, 0.3, 9)
    wanted = stats.permutation_test(
        (differences,), np.mean, permutation_type="samples", n_resamples=np.inf
    )

    assert sign_flip(list(differences)).p == pytest.approx(wanted.pvalue, abs=ROUNDING)


def test_many_pairs_go_over_into_the_normal_limit() -> None:
    """Just beyond the exact count the p hardly changes, and says that it is no longer exact."""
    differences = list(np.random.default_rng(5).normal(0.1, 0.3, MOST_EXACT + 1))
    exact, limit = sign_flip(differences[:-1]), sign_flip(differences)

    assert exact.exact
    assert not limit.exact
    assert limit.p == pytest.approx(stats.ttest_1samp(differences, 0.0).pvalue, abs=0.02)


@pytest.mark.parametrize("count", [4, 5, 6, 8, 12])
def test_signed_rank_distribution_is_that_of_scipy(count: int) -> None:
    """The p of the most lopsided sample with one small reversal agrees with scipy's exact test."""
    differences = np.arange(1.0, count + 1.0)
    differences[1] *= -1.0
    below = float(np.cumsum(signed_rank_probabilities(count))[2])

    assert stats.wilcoxon(differences, method="exact").pvalue == pytest.approx(
        2.0 * below, abs=ROUNDING
    )


@pytest.mark.parametrize(
    ("count", "confidence"), [(4, 0.875), (5, 0.9375), (6, 0.96875), (10, 1 - 2 * 25 / 1024)]
)
def test_rank_interval_says_how_sure_it_is(count: int, confidence: float) -> None:
    """Four and five pairs cannot reach 95 %, and say so; for ten Wilcoxon's table cuts at 8,
    which 25 of 1024 signings reach."""
    interval = rank_interval(list(np.random.default_rng(1).normal(size=count)))

    assert interval.confidence == pytest.approx(confidence, abs=ROUNDING)


@pytest.mark.parametrize("count", [4, 7, 12])
def test_rank_interval_holds_as_often_as_it_says(count: int) -> None:
    """In 2,000 draws about a known centre the share held is the confidence told."""
    rng = np.random.default_rng(count)
    draws = rng.standard_t(3, (2000, count)) + 0.7
    found = [rank_interval(list(draw)) for draw in draws]
    told = found[0].confidence
    held = np.mean([interval.low <= 0.7 <= interval.high for interval in found])

    assert abs(held - told) < FOUR_STANDARD_ERRORS * math.sqrt(told * (1 - told) / 2000)


@pytest.mark.parametrize("ratio", [1.05, 1.10, 1.20])
@pytest.mark.parametrize("deviation", [0.05, 0.15, 0.4])
def test_pairs_needed_have_the_power_scipy_gives(ratio: float, deviation: float) -> None:
    """By the noncentral t that many pairs find the difference in about 80 % of surveys."""
    difference = math.log(ratio)
    count = pairs_needed(deviation, difference)
    shift, limit = difference / deviation * math.sqrt(count), stats.t.ppf(0.975, count - 1)
    power = stats.nct.sf(limit, count - 1, shift) + stats.nct.cdf(-limit, count - 1, shift)

    assert power >= 0.79
    assert count == fewest_pairs() or power <= 0.87


def test_five_pairs_never_reach_the_level() -> None:
    """With five pairs the smallest exact p is 1/16; six can reach 1/32."""
    assert fewest_pairs() == 6
    assert sign_flip([1.0] * 5).p == pytest.approx(0.0625, abs=ROUNDING)
    assert sign_flip([1.0] * 6).p == pytest.approx(0.03125, abs=ROUNDING)


def test_what_cannot_be_answered_is_refused() -> None:
    """Too few pairs, impossible numbers and a difference of nothing end in a reason."""
    with pytest.raises(NoAnswer, match="at least 2"):
        mean_result([0.1])
    with pytest.raises(NoAnswer, match="finite"):
        sign_flip([math.nan, 1.0])
    with pytest.raises(NoAnswer, match="zero"):
        pairs_needed(0.1, 0.0)
    with pytest.raises(OutOfRange):
        t_limit(1.0, 3)
    with pytest.raises(OutOfRange):
        t_inside(1.0, 0)


def test_equal_differences_have_no_spread() -> None:
    """Pairs that all agree give an interval of no width, not one of rounding errors."""
    found = mean_result([0.1 + 0.2, 0.3, 0.3])

    assert found.deviation == 0.0
    assert found.interval.low == found.interval.high == found.mean
