"""How good a fix is: its error against the Cramer-Rao bound, and whether its ellipse is honest.

Run `python -m tests.benchmarks.fix_calibration [TRIALS]` (1,000 a row without a number).

Scenario: stops lie at random round a site, 40 to 150 m away, at least one pair of bearings
crossing at 30 degrees or more, as a surveyor would choose. Bearings err normally with sigma,
and stops, in the rows that say so, by a GPS error whose sigma the fix is told. The bound is
the trace of the inverse Fisher information at the true place, meaned over the same stops.
'plain' is the share of trials whose truth lies within the ellipse of the information alone,
for comparison. Rows end with how many trials were refused or lost an outlier.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import rays_of
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.sightings import CHI_SQUARE_95, Bearing, fix

SITE = (60.1699, 24.9384)
NEAREST_M, FARTHEST_M = 40.0, 150.0
LEAST_CROSSING_DEG = 30.0
TRIALS_A_SCENE = 10
SEED = 20260504
ROWS = [
    (sigma_deg, count, position_sigma_m)
    for position_sigma_m in (0.0, 4.0)
    for sigma_deg in (2.0, 3.0, 5.0)
    for count in (3, 4, 5, 6)
]


@dataclass
class Score:
    """Sums over the trials of one row."""

    trials: int = 0
    refused: int = 0
    with_outlier: int = 0
    inside: int = 0
    inside_plain: int = 0
    square_error_m2: float = 0.0
    bound_m2: float = 0.0

    @property
    def answered(self) -> int:
        """Trials that gave a fix."""
        return self.trials - self.refused

    @property
    def ratio(self) -> float:
        """Root mean square error over the root of the mean bound."""
        return math.sqrt(self.square_error_m2 / self.bound_m2)

    @property
    def coverage(self) -> float:
        """Share of fixes whose 95 % ellipse holds the truth."""
        return self.inside / self.answered


def stops_m(random: np.random.Generator, count: int) -> np.ndarray:
    """Stops (count, 2) round the site, in metres east and north."""
    while True:
        azimuth = random.uniform(0.0, 2 * math.pi, count)
        distance = random.uniform(NEAREST_M, FARTHEST_M, count)
        sines = np.abs(np.sin(azimuth[:, None] - azimuth))
        if sines.max() >= math.sin(math.radians(LEAST_CROSSING_DEG)):
            return np.column_stack([distance * np.sin(azimuth), distance * np.cos(azimuth)])


def sighted(
    random: np.random.Generator, stops: np.ndarray, sigma_deg: float, position_sigma_m: float
) -> list[Bearing]:
    """What the surveyor writes down: a position and a bearing, both with their errors."""
    bearing = np.degrees(np.arctan2(-stops[:, 0], -stops[:, 1]))
    bearing = (bearing + random.normal(0.0, sigma_deg, len(stops))) % 360.0
    written = stops + random.normal(0.0, 1.0, stops.shape) * position_sigma_m
    lat, lon = Plane(*SITE).to_world(written[:, 0], written[:, 1])
    return [
        Bearing(float(a), float(b), float(c), sigma_deg, position_sigma_m)
        for a, b, c in zip(lat, lon, bearing, strict=True)
    ]


def score(sigma_deg: float, count: int, position_sigma_m: float, trials: int) -> Score:
    """The row of one scenario."""
    random = np.random.default_rng([SEED, int(10 * sigma_deg), count, int(position_sigma_m)])
    plane, total = Plane(*SITE), Score()
    for _ in range(trials // TRIALS_A_SCENE):
        stops = stops_m(random, count)
        exact = rays_of(plane, sighted(random, stops, sigma_deg, position_sigma_m))
        exact = replace(exact, east_m=stops[:, 0], north_m=stops[:, 1])
        bound_m2 = float(np.trace(np.linalg.inv(exact.information(np.zeros(2)))))
        for _ in range(TRIALS_A_SCENE):
            _add(total, plane, sighted(random, stops, sigma_deg, position_sigma_m), bound_m2)
    return total


def _add(total: Score, plane: Plane, bearings: list[Bearing], bound_m2: float) -> None:
    """Fix one trial and add what came of it."""
    total.trials += 1
    try:
        found = fix(bearings)
    except NoAnswer:
        total.refused += 1
        return
    at = np.array(plane.to_plane(found.lat_deg, found.lon_deg))
    plain = rays_of(plane, bearings).information(at)
    total.with_outlier += bool(found.outliers)
    total.square_error_m2 += float(at @ at)
    total.bound_m2 += bound_m2
    total.inside += bool(at @ np.linalg.solve(np.array(found.covariance_m2), at) <= CHI_SQUARE_95)
    total.inside_plain += bool(at @ plain @ at <= CHI_SQUARE_95)


def table(trials: int) -> Iterator[str]:
    """The table's lines, as they are ready."""
    yield "sigma  GPS  sightings  RMSE m  RMSE/bound  inside 95 %  plain   refused  outliers"
    for sigma_deg, count, position_sigma_m in ROWS:
        row = score(sigma_deg, count, position_sigma_m, trials)
        yield (
            f"{sigma_deg:4.0f}° {position_sigma_m:3.0f} m {count:10d} "
            f"{math.sqrt(row.square_error_m2 / row.answered):7.2f} {row.ratio:11.3f} "
            f"{100 * row.coverage:10.1f} % {100 * row.inside_plain / row.answered:6.1f} % "
            f"{row.refused:8d} {row.with_outlier:9d}"
        )


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if len(sys.argv) > 1 else 1000):
        print(line, flush=True)
