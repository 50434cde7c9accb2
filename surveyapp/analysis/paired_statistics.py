"""Statistics of a few paired differences: how large, how sure, and how many more would tell.

Every function takes the differences (here: natural logarithms of ratios) as a sequence of
finite numbers, one for each independent pair.

Which interval is honest for few pairs: a distribution-free one cannot reach 95 % before six
pairs (with n pairs the smallest two-sided p there is 2/2^n), so the 95 % interval is Student's
t on the logarithms, exact where these scatter normally; the rank interval is given beside it
with the confidence it really has.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.student_t import t_limit, t_p_value
from surveyapp.errors import NoAnswer

CONFIDENCE = 0.95
LEVEL = 0.05  # a difference is named where chance alone does as much in at most this share
POWER = 0.80  # and pairs are planned so that a true difference is found this often
MOST_EXACT = 36  # pairs up to which all sign flips are counted (2^18 sums for each half)
_SAME = 1e-9  # sums closer than this share of the largest one count as equal

Differences = Sequence[float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Interval:
    """From `low` to `high`, holding the truth with probability `confidence`."""

    low: float
    high: float
    confidence: float


@dataclass(frozen=True, kw_only=True, slots=True)
class MeanResult:
    """Mean of the differences, their standard deviation, Student's t, its p and interval."""

    count: int
    mean: float
    deviation: float
    t: float
    p: float
    interval: Interval


@dataclass(frozen=True, kw_only=True, slots=True)
class SignFlip:
    """Two-sided p of the sign-flip test; `exact` where every flip was counted."""

    p: float
    exact: bool


def mean_result(differences: Differences, confidence: float = CONFIDENCE) -> MeanResult:
    """Student's one-sample t (Student 1908, Biometrika 6) on the differences.

    Raises NoAnswer for fewer than two.
    """
    values = _taken(differences, 2)
    count, mean = len(values), float(values.mean())
    deviation = float(values.std(ddof=1))
    if deviation <= _SAME * float(np.abs(values).max()):
        deviation = 0.0  # all the same: the rest is rounding
    error = deviation / math.sqrt(count)
    t = mean / error if error > 0.0 else math.copysign(math.inf, mean) if mean else 0.0
    reach = t_limit(confidence, count - 1) * error
    return MeanResult(
        count=count,
        mean=mean,
        deviation=deviation,
        t=t,
        p=t_p_value(t, count - 1),
        interval=Interval(low=mean - reach, high=mean + reach, confidence=confidence),
    )


def sign_flip(differences: Differences) -> SignFlip:
    """Fisher's randomisation test of the mean (The Design of Experiments, 1935, section 21).

    Were the two sides alike, each difference could as well have the other sign: p is the share
    of all 2^n signings whose sum is at least as far from zero as the one seen. Beyond
    MOST_EXACT pairs the sum is taken as normal.
    """
    values = np.abs(_taken(differences, 1))
    seen = abs(float(np.sum(_taken(differences, 1))))
    whole = float(values.sum())
    if seen <= _SAME * whole:
        return SignFlip(p=1.0, exact=True)
    if len(values) > MOST_EXACT:
        sigma = math.sqrt(float(np.square(values).sum()))
        return SignFlip(p=2.0 * NormalDist().cdf(-seen / sigma), exact=False)
    half = len(values) // 2
    left, right = _signed_sums(values[:half]), np.sort(_signed_sums(values[half:]))
    far = len(right) - np.searchsorted(right, seen - _SAME * whole - left, side="left")
    return SignFlip(p=2.0 * float(far.sum()) / 2.0 ** len(values), exact=True)


def hodges_lehmann(differences: Differences) -> float:
    """Median of the Walsh averages (Hodges and Lehmann 1963, Ann. Math. Statist. 34)."""
    return float(np.median(_walsh_averages(_taken(differences, 1))))


def rank_interval(differences: Differences, confidence: float = CONFIDENCE) -> Interval:
    """Interval of the Hodges-Lehmann shift from the exact Wilcoxon signed-rank distribution
    (Tukey's, as in Hollander and Wolfe, Nonparametric Statistical Methods, section 3.3; from
    memory). Its `confidence` is the one it really has: at least that asked for where the number
    of pairs allows it, else the widest there is (87.5 % for four pairs, 93.75 % for five).
    """
    values = _taken(differences, 1)
    averages = np.sort(_walsh_averages(values))
    below = np.cumsum(signed_rank_probabilities(len(values)))
    allowed = int(np.searchsorted(2.0 * below, 1.0 - confidence + 1e-12, side="right"))
    cut = max(allowed - 1, 0)
    return Interval(
        low=float(averages[cut]),
        high=float(averages[len(averages) - 1 - cut]),
        confidence=max(0.0, 1.0 - 2.0 * float(below[cut])),
    )


def signed_rank_probabilities(count: int) -> NDArray[np.float64]:
    """Probability of each value 0 .. n(n+1)/2 of Wilcoxon's signed-rank sum of n pairs."""
    probabilities = np.zeros(count * (count + 1) // 2 + 1)
    probabilities[0] = 1.0
    for rank in range(1, count + 1):
        shifted = np.zeros_like(probabilities)
        shifted[rank:] = probabilities[:-rank]
        probabilities = (probabilities + shifted) / 2.0
    return probabilities


def pairs_needed(deviation: float, difference: float) -> int:
    """How many pairs find a true mean `difference` in POWER of surveys at LEVEL.

    Guenther's approximation (1981, The American Statistician 35) to the noncentral t; never
    fewer than six, below which the exact test cannot reach LEVEL. Raises NoAnswer for no
    difference at all.
    """
    if difference == 0.0:
        raise NoAnswer("No number of pairs shows a difference of zero: name a larger one.")
    normal = NormalDist()
    at_level = normal.inv_cdf(1.0 - LEVEL / 2.0)
    ratio = (at_level + normal.inv_cdf(POWER)) * deviation / abs(difference)
    return max(fewest_pairs(), math.ceil(ratio * ratio + at_level * at_level / 2.0))


def fewest_pairs(level: float = LEVEL) -> int:
    """The number of pairs from which the exact test can reach `level`: 2/2^n at most it."""
    return math.ceil(1.0 - math.log2(level))


def _taken(differences: Differences, at_least: int) -> NDArray[np.float64]:
    values = np.asarray(differences, dtype=float)
    if len(values) < at_least:
        raise NoAnswer(
            f"{len(values)} pairs tell nothing of a difference: at least {at_least} are needed."
        )
    if not np.isfinite(values).all():
        raise NoAnswer("A difference that is no finite number cannot be compared: leave it out.")
    return values


def _signed_sums(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """The sums of all 2^n signings."""
    sums = np.zeros(1)
    for value in values:
        sums = np.concatenate((sums - value, sums + value))
    return sums


def _walsh_averages(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Averages of every pair of values, each with itself too."""
    first, second = np.triu_indices(len(values))
    return np.asarray((values[first] + values[second]) / 2.0)
