"""By how much the walking order exceeds the shortest there is.

Run `python -m tests.benchmarks.tour_excess [TRIALS]` (50 a row without a number). Places are
drawn in a square of 600 m with streets every 100 m, distances are those round the blocks.
The shortest order is exact: M. Held and R. M. Karp, J. SIAM 10 (1962) 196-210.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import combinations

import numpy as np

from surveyapp.analysis.tour import order_length_m, short_order

SEED = 20260504
SIDE_M, BLOCK_M = 600.0, 100.0


def blocks_apart_m(random: np.random.Generator, count: int) -> np.ndarray:
    """Distances (count, count) round the blocks between places on streets drawn at random."""
    places = random.uniform(0.0, SIDE_M, (count, 2))
    axis = random.integers(0, 2, count)
    rows = np.arange(count)
    places[rows, axis] = np.round(places[rows, axis] / BLOCK_M) * BLOCK_M
    apart = np.abs(places[:, None] - places[None]).sum(axis=2)
    for a, b in combinations(range(count), 2):
        if axis[a] == axis[b] and places[a, axis[a]] != places[b, axis[b]]:
            run = 1 - axis[a]  # both on streets that run alike: to a corner, over, and back
            if np.floor(places[a, run] / BLOCK_M) == np.floor(places[b, run] / BLOCK_M):
                within = places[[a, b], run] % BLOCK_M
                over = abs(places[a, axis[a]] - places[b, axis[a]])
                apart[a, b] = apart[b, a] = over + min(within.sum(), 2 * BLOCK_M - within.sum())
    return apart


def shortest_length_m(apart_m: np.ndarray, *, back: bool) -> float:
    """Length of the shortest walk from place 0 through all others."""
    count = len(apart_m)
    best = {(1 << k, k): float(apart_m[0, k]) for k in range(1, count)}
    for size in range(2, count):
        for chosen in combinations(range(1, count), size):
            mask = sum(1 << k for k in chosen)
            for last in chosen:
                rest = mask ^ (1 << last)
                best[mask, last] = min(
                    best[rest, k] + float(apart_m[k, last]) for k in chosen if k != last
                )
    full = (1 << count) - 2
    return min(best[full, k] + (float(apart_m[k, 0]) if back else 0.0) for k in range(1, count))


def table(trials: int) -> Iterator[str]:
    """The table's lines, as they are ready."""
    yield "places  back   exact  mean excess  worst excess"
    for count in (6, 9, 12):
        for back in (False, True):
            random = np.random.default_rng([SEED, count, back])
            excess = []
            for _ in range(trials):
                apart = blocks_apart_m(random, count)
                ours = order_length_m(apart, short_order(apart, back=back), back=back)
                excess.append(ours / shortest_length_m(apart, back=back) - 1.0)
            share = float(np.mean(np.array(excess) < 1e-9))
            yield (
                f"{count:6d}  {'yes' if back else 'no':4}  {100 * share:4.0f} %  "
                f"{100 * np.mean(excess):9.2f} %  {100 * max(excess):10.2f} %"
            )


if __name__ == "__main__":
    for line in table(int(sys.argv[1]) if len(sys.argv) > 1 else 50):
        print(line, flush=True)
