"""Whether the intervals of a coverage fit hold what they say: n, sigma, azimuth and range.

Run `python -m tests.benchmarks.coverage_calibration [TRIALS]` (500 without a number).

Scenario: a panel with n 2.8 and 5 dB of fading is read at so many places, 15 to 250 m off and
within 60 degrees of its boresight (for the azimuth: all round). Each trial draws new places
and new fading. Printed are the shares of trials whose interval holds the truth.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import numpy as np

from surveyapp.analysis.boresight_range import boresight_range
from surveyapp.analysis.sector_fit import fit_sector
from surveyapp.analysis.walk_azimuth import walk_azimuth
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import angle_between_deg
from tests.analysis.walks import EXPONENT, PANEL, SIGMA_DB, true_range_m, walk

SEED = 20260504
THRESHOLD_DBM = -85.0
CHANCES = (0.6827, 0.95)
COUNTS = (6, 12, 30)
FIGURES = ("n", "sigma", "range", "azimuth")


def held(count: int, trials: int, chance: float) -> dict[str, tuple[int, int]]:
    """For each figure: how many intervals held the truth, and how many were given at all."""
    random = np.random.default_rng([SEED, count])
    truth_m = true_range_m(THRESHOLD_DBM)
    score = dict.fromkeys(FIGURES, (0, 0))

    def add(name: str, inside: bool) -> None:
        score[name] = (score[name][0] + inside, score[name][1] + 1)

    for _ in range(trials):
        fit = fit_sector(PANEL, walk(random, count))
        low, high = fit.exponent_interval(chance)
        add("n", low <= EXPONENT <= high)
        low, high = fit.sigma_interval_db(chance)
        add("sigma", low <= SIGMA_DB <= high)
        try:
            found = boresight_range(fit, THRESHOLD_DBM, chance)
            add("range", found.low_m <= truth_m <= (found.high_m or np.inf))
        except NoAnswer:
            pass
        try:
            round_it = walk_azimuth(PANEL, walk(random, count, spread_deg=180.0), chance)
            add("azimuth", holds_azimuth(round_it.interval_deg, PANEL.known_azimuth_deg()))
        except NoAnswer:
            pass
    return score


def holds_azimuth(interval_deg: tuple[float, float], azimuth_deg: float) -> bool:
    """Whether an azimuth lies clockwise between the two ends."""
    width = (interval_deg[1] - interval_deg[0]) % 360.0
    return angle_between_deg(interval_deg[0], azimuth_deg) % 360.0 <= width


def table(trials: int) -> Iterator[str]:
    """The table's lines, as they are ready."""
    yield "places  chance  " + "  ".join(f"{name:>16}" for name in FIGURES)
    for count in COUNTS:
        for chance in CHANCES:
            score = held(count, trials, chance)
            shares = "  ".join(
                f"{100.0 * inside / max(given, 1):6.1f} % of {given:4d}"
                for inside, given in score.values()
            )
            yield f"{count:6d}  {100 * chance:4.0f} %  {shares}"


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if len(sys.argv) > 1 else 500):
        print(line, flush=True)
