"""Whole lists of channels are converted at least as fast as a bare loop would."""

from __future__ import annotations

from tests.benchmarks.channels_speed import ratios


def test_a_list_of_channels_is_converted_no_slower_than_a_bare_loop() -> None:
    """Forty thousand of each kind; the full million is the benchmark of the same name."""
    for name, (bare_s, ours_s) in ratios(40_000).items():
        assert ours_s <= bare_s, name
