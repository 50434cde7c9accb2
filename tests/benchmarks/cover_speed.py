"""How long a 200 x 200 grid over 30 sectors takes, against the plain numpy expression of it.

Run `python -m tests.benchmarks.cover_speed [ROUNDS]` (5 without a number). The plain
expression is the same model written out at once: distance, angle, pattern, level, chance, and
the shared fading's five nodes, with the normal distribution by its own table. Printed are the
best times of either, in one run, and their ratio.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from surveyapp.analysis.cover_chance import SHARED_NODES, cover_chance
from surveyapp.analysis.intervals import normal_cdf
from surveyapp.analysis.sector_fit import SectorFit
from surveyapp.analysis.sector_panel import SectorPanel
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.smoothing import normal_nodes

SEED, SECTORS, SIDE, HALF_M = 20260504, 30, 200, 500.0
CENTRE = (60.1699, 24.9384)
PLANE = Plane(*CENTRE)
THRESHOLD_DBM, INTERCEPT_DBM, EXPONENT, SIGMA_DB = -95.0, -60.0, 2.8, 6.0
GRID = np.meshgrid(*(np.linspace(-HALF_M, HALF_M, SIDE),) * 2)
TABLE_AT = np.linspace(-40.0, 40.0, 5121)
TABLE = normal_cdf(TABLE_AT)


def fits() -> list[SectorFit]:
    """Thirty sectors of ten sites, drawn at random."""
    random = np.random.default_rng(SEED)
    made = []
    for site in range(SECTORS // 3):
        lat, lon = PLANE.to_world(*random.uniform(-HALF_M, HALF_M, 2))
        turn = random.uniform(0.0, 120.0)
        panel = SectorPanel(
            name="S", site_id=str(site), lat_deg=float(lat), lon_deg=float(lon), azimuth_deg=turn
        )
        made += [
            SectorFit(
                panel=replace(panel, azimuth_deg=turn + 120.0 * k), measured=(), residuals_db=(),
                intercept_dbm=INTERCEPT_DBM, exponent=EXPONENT, blocked_db=None,
                sigma_db=SIGMA_DB, degrees=30, covariance=np.diag([1.0, 0.01]),
            )
            for k in range(3)
        ]  # fmt: skip
    return made


def plain(models: list[SectorFit]) -> np.ndarray:
    """The same written out without any structure."""
    east, north = GRID
    nodes, weights = normal_nodes(SHARED_NODES)
    none = np.repeat(weights[:, None, None], SIDE, 1) * np.ones((1, 1, SIDE))
    for first in range(0, len(models), 3):
        best = np.zeros((SHARED_NODES, SIDE, SIDE))
        for model in models[first : first + 3]:
            at = model.panel
            x0, y0 = PLANE.to_plane(at.lat_deg, at.lon_deg)
            x, y = east - x0, north - y0
            ground = np.hypot(x, y)
            off = np.degrees(np.arctan2(x, y)) - at.known_azimuth_deg()
            off = np.remainder(off + 180.0, 360.0) - 180.0
            tilt = np.degrees(np.arctan2(1.5 - at.height_m, np.maximum(ground, 0.1))) + 5.0
            loss = np.minimum(12.0 * (off / 65.0) ** 2, 30.0)
            loss += np.minimum(12.0 * (tilt / 65.0) ** 2, 30.0)
            decades = -10.0 * np.log10(np.maximum(np.hypot(ground, 6.5), 1.0) / 10.0)
            mean = INTERCEPT_DBM - np.minimum(loss, 30.0) + EXPONENT * decades
            spread = np.sqrt(0.5 * SIGMA_DB**2 + 1.0 + 0.01 * decades**2)
            for k, node in enumerate(nodes):
                over = (mean + np.sqrt(0.5) * node * SIGMA_DB - THRESHOLD_DBM) / spread
                best[k] = np.maximum(best[k], np.interp(over, TABLE_AT, TABLE))
        none *= 1.0 - best
    return np.asarray(1.0 - none.sum(axis=0))


def best_seconds(work: Callable[[], object], rounds: int) -> float:
    """The shortest of some runs."""
    taken = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return min(taken)


def ratio(rounds: int) -> tuple[float, float]:
    """Seconds of ours and of the plain expression."""
    models = fits()
    ours = best_seconds(lambda: cover_chance(models, PLANE, *GRID, THRESHOLD_DBM), rounds)
    return ours, best_seconds(lambda: plain(models), rounds)


def table(rounds: int) -> Iterator[str]:
    """The table's lines."""
    ours, bare = ratio(rounds)
    models = fits()
    apart = np.abs(cover_chance(models, PLANE, *GRID, THRESHOLD_DBM) - plain(models)).max()
    yield f"ours {ours:.2f} s, plain numpy {bare:.2f} s, ratio {ours / bare:.2f} (at most 2)"
    yield f"largest difference of the chances {apart:.3f} (t with 30 degrees against normal)"


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if len(sys.argv) > 1 else 5):
        print(line)
