"""Expectations of a whole notebook cost a few times the bare formula, and agree with it."""

from __future__ import annotations

from tests.benchmarks.expectation_speed import ratio

GOAL = 5.0


def test_many_expectations_cost_a_few_times_the_bare_formula() -> None:
    """Two thousand of them; ten thousand is the benchmark of the same name."""
    bare_s, ours_s = ratio(2_000)

    assert ours_s <= GOAL * bare_s
