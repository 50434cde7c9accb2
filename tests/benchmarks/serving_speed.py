"""Time of one serving answer with 30 sectors in reach, as a ratio to a named reference.

Run with `python -m tests.benchmarks.serving_speed`. The reference, timed in turns with the
answer, is numpy's FFT of 256 rows of 1024 numbers with its inverse: about what the smoothing
inside an answer would cost if it were done three times over. Goal 8 ms, at most 16 ms.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.geodesy import destination
from surveyapp.geometry.serving import Candidate, Observation, serving

FloatArray = NDArray[np.float64]
STOP = (60.1699, 24.9384)
ROUNDS = 40
GOAL_MS, LIMIT_MS = 8.0, 16.0
REFERENCE = "reference: FFT and back"


def thirty_sectors(sites: int) -> list[Candidate]:
    """30 sectors on `sites` sites, from 30 m to 400 m."""
    each = 30 // sites
    candidates = []
    for site in range(sites):
        place = destination(*STOP, 137.5 * site, 30.0 + 370.0 * site / sites)
        for panel in range(each):
            azimuth = (40.0 * site + 360.0 * panel / each) % 360.0
            candidates.append(
                Candidate(
                    name=f"Site {site} {'ABC'[panel]}",
                    site_id=str(site),
                    lat_deg=place[0],
                    lon_deg=place[1],
                    azimuth_deg=azimuth,
                    mhz=26900.0,
                    pci=3 * site + panel,
                )
            )
    return candidates


def times_ms(jobs: dict[str, Callable[[], object]]) -> dict[str, FloatArray]:
    """Wall and processor times (rounds, 2) of each job, all jobs taken in turns."""
    taken: dict[str, list[tuple[float, float]]] = {name: [] for name in jobs}
    for _ in range(ROUNDS):
        for name, job in jobs.items():
            begins, at_work = time.perf_counter(), time.process_time()
            job()
            wall, work = time.perf_counter() - begins, time.process_time() - at_work
            taken[name].append((1000.0 * wall, 1000.0 * work))
    return {name: np.array(times[3:]) for name, times in taken.items()}


def measured() -> dict[str, FloatArray]:
    """Wall and processor times (rounds, 2) of each kind of answer, beside the reference."""
    rows = np.random.default_rng(1).standard_normal((256, 1024))
    before = Observation(lat_deg=STOP[0], lon_deg=STOP[1])
    measured = Observation(lat_deg=STOP[0], lon_deg=STOP[1], rsrp_dbm=-92.0)
    few, many = thirty_sectors(10), thirty_sectors(30)
    return times_ms(
        {
            REFERENCE: lambda: np.fft.irfft(np.fft.rfft(rows)),
            "10 sites, before a reading": lambda: serving(before, few),
            "10 sites, RSRP measured": lambda: serving(measured, few),
            "30 sites, before a reading": lambda: serving(before, many),
            "30 sites, RSRP measured": lambda: serving(measured, many),
        }
    )


def main() -> None:
    """Print the table."""
    times = measured()
    reference = times[REFERENCE]
    print(f"30 sectors in reach, {ROUNDS} rounds; goal {GOAL_MS:g} ms, limit {LIMIT_MS:g} ms")
    print(f"{'ms':30}{'best wall':>11}{'median wall':>13}{'median CPU':>12}{'CPU ratio':>11}")
    for name, taken in times.items():
        wall, work = np.median(taken, axis=0)
        ratio = work / np.median(reference[:, 1])
        print(f"{name:30}{taken[:, 0].min():11.2f}{wall:13.2f}{work:12.2f}{ratio:11.2f}")


if __name__ == "__main__":
    main()
