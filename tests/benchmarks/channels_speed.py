"""One million channel conversions against a plain Python loop of the bare formula.

Run on demand: python -m tests.benchmarks.channels_speed
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np

from surveyapp.radio.channels import channel
from surveyapp.radio.raster import gscn_mhz, lte_mhz, nr_arfcn, nr_mhz

MILLION = 1_000_000


def bare_nr_mhz(number: int) -> float:
    """NR-ARFCN to MHz, as the standard writes it and nothing else."""
    if number < 600_000:
        return 0.005 * number
    if number < 2_016_667:
        return 3000.0 + 0.015 * (number - 600_000)
    return 24_250.08 + 0.06 * (number - 2_016_667)


def bare_nr_arfcn(mhz: float) -> int:
    """MHz to NR-ARFCN, likewise."""
    if mhz < 3000.0:
        return round(mhz / 0.005)
    if mhz < 24_250.08:
        return 600_000 + round((mhz - 3000.0) / 0.015)
    return 2_016_667 + round((mhz - 24_250.08) / 0.06)


def bare_gscn_mhz(number: int) -> float:
    """GSCN to MHz, likewise."""
    if number < 7499:
        return 1.2 * ((number + 1) // 3) + 0.05 * (2 * ((number + 1) % 3) + 1)
    if number < 22_256:
        return 3000.0 + 1.44 * (number - 7499)
    return 24_250.08 + 17.28 * (number - 22_256)


def bare_lte_mhz(number: int) -> float:
    """EARFCN to MHz within one band, B20."""
    return 791.0 + 0.1 * (number - 6150)


def seconds(work: Callable[[], object]) -> float:
    """Shortest of three runs."""
    best = float("inf")
    for _ in range(3):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def ratios(count: int = MILLION) -> dict[str, tuple[float, float]]:
    """Seconds of the bare loop and of ours, for `count` conversions of each kind."""
    spread = np.linspace(0.0, 1.0, count)
    numbers = (spread * 3_279_165).astype(np.int64)
    places = {
        "NR-ARFCN to MHz": (bare_nr_mhz, nr_mhz, numbers),
        "MHz to NR-ARFCN": (bare_nr_arfcn, nr_arfcn, spread * 100_000.0),
        "GSCN to MHz": (bare_gscn_mhz, gscn_mhz, 2 + (spread * 26_637).astype(np.int64)),
        "EARFCN to MHz": (bare_lte_mhz, lte_mhz, 6150 + (spread * 299).astype(np.int64)),
    }
    found = {}
    for name, (bare, ours, values) in places.items():
        plain = values.tolist()
        assert np.allclose(ours(values[:1000]), [bare(value) for value in plain[:1000]])
        found[name] = (
            seconds(lambda bare=bare, plain=plain: [bare(value) for value in plain]),
            seconds(lambda ours=ours, values=values: ours(values)),
        )
    return found


def main() -> None:
    """Print the table."""
    print(f"{'conversion, a million of each':32} {'bare loop':>10} {'ours':>10} {'ratio':>8}")
    for name, (bare, ours) in ratios().items():
        print(f"{name:32} {bare:9.3f}s {ours:9.3f}s {ours / bare:8.3f}")
    one = seconds(lambda: [channel("3600 MHz") for _ in range(1000)]) / 1000
    print(f"{'one typed channel, all its bands':32} {'':10} {one * 1e6:7.0f} us")


if __name__ == "__main__":
    sys.exit(main())
