"""What is to be known beside a comparison's sentence: order, further pairs, losses, left out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from surveyapp.analysis.compare_words import figure
from surveyapp.wording import counted, listed, number, share, times

if TYPE_CHECKING:
    from surveyapp.analysis.compare import Comparison
    from surveyapp.analysis.dropouts import Dropouts

MOST_NAMED = 3  # pairs with unlike carriers
SHORTEST_H = 0.1  # a shorter watch is not told as a time


def notes_of(found: Comparison) -> Iterator[str]:
    """All of it, one sentence each, the same on screen, on a page and in a command's answer."""
    if found.first_came_first + found.second_came_first:
        total = found.first_came_first + found.second_came_first
        yield _first(found.first, found.first_came_first, total)
        yield _first(found.second, found.second_came_first, total)
    yield from _unlike(found)
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
        yield f"{counted(left.runs, 'run')} left out: {left.reason}."


def _first(name: str, count: int, total: int) -> str:
    """Of runs, not of pairs: a pair holds several."""
    if not count:
        return f"{name} never ran first."
    return f"{name} ran first in {count} of {total} matched runs."


def _unlike(found: Comparison) -> Iterator[str]:
    """Pairs whose two sides had other carriers, and what the rest say."""
    unlike = [pair for pair in found.pairs if pair.unlike]
    if not unlike:
        return
    yield (
        f"In {len(unlike)} of {counted(len(found.pairs), 'pair')} the carriers are unlike, which "
        "alone can make such a difference."
    )
    named = "; ".join(f"{pair.place} ({pair.unlike})" for pair in unlike[:MOST_NAMED])
    more = f"; {len(unlike) - MOST_NAMED} more" if len(unlike) > MOST_NAMED else ""
    yield f"Unlike: {named}{more}."
    if found.alike is not None:
        ends = found.alike.interval
        yield (
            f"Without them the mean ratio is {figure(found.alike.ratio)} (95 % interval "
            f"{figure(ends.low)} to {figure(ends.high)})."
        )


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
    lost, resets = held.lost_5g, held.radio_resets
    told = [
        f"{name} lost 5G {times(lost)}." if lost else f"{name} never lost 5G.",
        f"Its radio was reset {times(resets)}." if resets else "Its radio was never reset.",
    ]
    if held.hours >= SHORTEST_H:
        told.append(f"It was watched for {number(held.hours)} hours.")
        if held.per_hour:
            told.append(f"That is {number(held.per_hour, 2)} losses an hour.")
    if held.without_5g:
        told.append(f"At {counted(held.without_5g, 'stop')} it had no 5G where the other did.")
    if held.zero_runs:
        told.append(f"{counted(held.zero_runs, 'run')} of it carried nothing.")
    return " ".join(told)
