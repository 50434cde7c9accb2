"""What is to be known beside a comparison's sentence: order, further pairs, losses, left out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from surveyapp.wording import counted, listed, number, share, times

if TYPE_CHECKING:
    from surveyapp.analysis.compare import Comparison
    from surveyapp.analysis.dropouts import Dropouts


def notes_of(found: Comparison) -> Iterator[str]:
    """All of it, one sentence each, the same on screen, on a page and in a command's answer."""
    if found.first_came_first + found.second_came_first:
        yield (
            f"{found.first} ran first {times(found.first_came_first)}, {found.second} "
            f"{times(found.second_came_first)}."
        )
    if found.ratio is not None and found.more_pairs:
        yield (
            "A pair's ratio mostly lies within a factor of "
            f"{number(1.0 + found.ratio.spread_pct / 100.0, 2)} of the mean one. {_needed(found)}"
        )
    if found.shared is not None:
        yield (
            f"Run at the same time at {counted(found.shared.stops, 'stop')}, kept apart: "
            f"{found.first} had {share(found.shared.share)} of the sum, and both together "
            f"{number(found.shared.median_sum_mbps, 0)} Mbit/s."
        )
    for name, held in zip((found.first, found.second), found.dropouts or (), strict=False):
        yield losses_text(name, held)
    for left in found.left_out:
        yield f"Left out: {counted(left.runs, 'run')} {left.reason}."


def _needed(found: Comparison) -> str:
    """How many more pairs would show which difference."""
    wanting = [f"{more} for {number(pct, 0)} %" for pct, more in found.more_pairs if more]
    enough = [f"{number(pct, 0)} %" for pct, more in found.more_pairs if not more]
    told = []
    if wanting:
        told.append(
            "Further pairs that would show a difference in 8 of 10 surveys: about "
            f"{', '.join(wanting)}."
        )
    if enough:
        told.append(f"There are enough to show one of {listed(enough)}.")
    return " ".join(told)


def losses_text(name: str, held: Dropouts) -> str:
    """How often a phone lost 5G or its radio, what that is an hour, and what it lacked."""
    lost = f"{name} lost 5G {times(held.lost_5g)}" if held.lost_5g else f"{name} never lost 5G"
    resets = held.radio_resets
    radio = f"its radio was reset {times(resets)}" if resets else "its radio was never reset"
    watched = f" in {number(held.hours)} hours" if held.hours >= 0.05 else ""
    rate = held.per_hour
    often = f" ({number(rate, 2)} such losses an hour)" if rate and watched else ""
    apart = (
        f"; at {counted(held.without_5g, 'stop')} it had no 5G where the other did"
        if held.without_5g
        else ""
    )
    nothing = f"; {counted(held.zero_runs, 'run')} carried nothing" if held.zero_runs else ""
    return f"{lost} and {radio}{watched}{often}{apart}{nothing}."
