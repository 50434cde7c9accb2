"""Ten thousand expectations against a plain Python loop of the bare formula.

The bare formula gives the expected RSRP, its spread and the difference in sigmas: EIRP per
subcarrier, pattern, loss with and without line of sight, weighed. Ours adds what explains the
difference (blocked, turned panel). Run on demand: python -m tests.benchmarks.expectation_speed
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterator

import numpy as np

from surveyapp.analysis.expected import Expected
from surveyapp.analysis.levels import (
    DECADE_DB,
    LARGEST_PLACE_SIGMA_DB,
    Links,
    levels,
)
from surveyapp.geometry.serving_posterior import READING_SIGMA_DB
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.geometry.strongest import OWN_SIGMA_DB

TEN_THOUSAND = 10_000
ELEMENTS = 792.0


def links(count: int) -> Links:
    """Links of street-level sites at 26.5 GHz, 20 to 300 m away, all over the beam."""
    rng = np.random.default_rng(7)
    every = np.ones(count)
    return Links(
        element_eirp_dbm=(55.0 - 10.0 * math.log10(ELEMENTS)) * every,
        eirp_sigma_db=5.0 * every,
        mhz=26_500.0 * every,
        distance_m=rng.uniform(20.0, 300.0, count),
        height_m=8.0 * every,
        off_deg=rng.uniform(-180.0, 180.0, count),
        direction_sigma_deg=0.0 * every,
        place_sigma_m=6.0 * every,
        beamwidth_deg=65.0 * every,
        downtilt_deg=5.0 * every,
        los_probability=rng.uniform(0.0, 1.0, count),
        other_db=0.0 * every,
        offset_db=0.0 * every,
        offset_sigma_db=4.0 * every,
        measured_dbm=rng.uniform(-120.0, -60.0, count),
    )


def bare(
    distance_m: float, off_deg: float, los: float, measured_dbm: float
) -> tuple[float, float, float]:
    """Mean, spread and difference in sigmas of one link, as the formulas stand."""
    rise_m = 8.0 - 1.5
    slant_m = math.hypot(distance_m, rise_m)
    ghz = 26.5
    turn_m = 4.0e9 * 7.0 * 0.5 * ghz / 3.0e8
    if distance_m <= turn_m:
        seen_db = 32.4 + 21.0 * math.log10(slant_m) + 20.0 * math.log10(ghz)
    else:
        seen_db = 32.4 + 40.0 * math.log10(slant_m) + 20.0 * math.log10(ghz)
        seen_db -= 9.5 * math.log10(turn_m**2 + rise_m**2)
    hidden_db = max(22.4 + 35.3 * math.log10(slant_m) + 21.3 * math.log10(ghz), seen_db)
    down_deg = math.degrees(math.atan2(rise_m, distance_m))
    off = min(12.0 * (off_deg / 65.0) ** 2, 30.0) + 12.0 * ((5.0 - down_deg) / 65.0) ** 2
    peak = 55.0 - 10.0 * math.log10(ELEMENTS) - min(off, 30.0)
    place = min(DECADE_DB * math.log10(1.0 + 6.0 / distance_m), LARGEST_PLACE_SIGMA_DB)
    common = 5.0**2 + 4.0**2 + place**2 + OWN_SIGMA_DB**2 + READING_SIGMA_DB**2
    seen, hidden = peak - seen_db, peak - hidden_db
    mean = los * seen + (1.0 - los) * hidden
    square = los * (seen**2 + 4.0**2) + (1.0 - los) * (hidden**2 + 7.82**2)
    spread = math.sqrt(square - mean**2 + common)
    return mean, spread, (measured_dbm - mean) / spread


def bare_loop(given: Links) -> list[tuple[float, float, float]]:
    """The bare formula for every link, one by one."""
    columns = (given.distance_m, given.off_deg, given.los_probability, given.measured_dbm)
    return [bare(*row) for row in zip(*(column.tolist() for column in columns), strict=True)]


def ours(given: Links) -> list[Expected]:
    """The expectations of all links, each as the strip a sheet shows."""
    found = levels(given)
    rows = zip(
        found.mean_dbm.tolist(), found.spread_db.tolist(), given.measured_dbm.tolist(), strict=True
    )
    low, high = RSRP_RANGE_DBM
    return [
        Expected(
            quantity="RSRP", unit="dBm", low=low, high=high, mean=mean, sigma=sigma, measured=read
        )
        for mean, sigma, read in rows
    ]


def one_by_one(given: Links) -> Iterator[Expected]:
    """The same, a link at a time, as a sheet asks while a value is typed."""
    for row in range(len(given.mhz)):
        single = {name: getattr(given, name)[row : row + 1] for name in Links.__dataclass_fields__}
        yield from ours(Links(**single))


def seconds(work: Callable[[], object]) -> float:
    """Shortest of three runs."""
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def ratio(count: int = TEN_THOUSAND) -> tuple[float, float]:
    """Seconds of the bare loop and of ours for `count` expectations, which must agree."""
    given = links(count)
    for expected, (mean, spread, sigmas) in zip(ours(given)[:500], bare_loop(given), strict=False):
        assert abs((expected.mean or 0.0) - mean) < 1e-6
        assert abs((expected.sigma or 0.0) - spread) < 1e-6
        assert abs((expected.sigmas or 0.0) - sigmas) < 1e-6
    return seconds(lambda: bare_loop(given)), seconds(lambda: ours(given))


def main() -> None:
    """Print the table."""
    bare_s, ours_s = ratio()
    single_s = seconds(lambda: list(one_by_one(links(200)))) * TEN_THOUSAND / 200
    print(f"{'ten thousand expectations':38} {'seconds':>8} {'ratio':>7}")
    for name, taken in (
        ("bare formula, plain Python loop", bare_s),
        ("ours, all at once, with explanations", ours_s),
        ("ours, one link at a time (from 200)", single_s),
    ):
        print(f"{name:38} {taken:8.3f} {taken / bare_s:7.2f}")


if __name__ == "__main__":
    sys.exit(main())
