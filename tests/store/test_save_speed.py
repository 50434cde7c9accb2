"""A durable save beside a plain durable commit."""

from __future__ import annotations

from tests.benchmarks.save_speed import measure

LARGEST_RATIO = 2.5


def test_a_save_costs_at_most_two_and_a_half_plain_commits() -> None:
    """The best of five short runs, for other work may run on this machine meanwhile."""
    for _attempt in range(5):
        worst = max(ratio for _work, _median_ms, _mean_ms, ratio in measure(100))
        if worst <= LARGEST_RATIO:
            break

    assert worst <= LARGEST_RATIO
