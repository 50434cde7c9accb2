"""A comparison in plain words that never say more than its numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from surveyapp.analysis.paired_statistics import LEVEL, fewest_pairs
from surveyapp.analysis.pairs import Pair
from surveyapp.analysis.runs import Quantity

LOPSIDED = 0.8  # one side running first this often is doubted, our choice


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """What the words are made of. `ratio` is None below two pairs, `low` to `high` its 95 %
    interval; `evident` that test and interval agree on a difference. How often each side ran
    first is 0 for both where their runs were not made in turn. `of` and `on` are the words
    between a quantity and a side: the download of a phone, better on a phone."""

    first: str
    second: str
    quantity: Quantity
    pairs: int
    ratio: float | None
    low: float
    high: float
    p: float
    evident: bool
    first_came_first: int = 0
    second_came_first: int = 0
    of: str = "of"
    on: str = "on"

    @property
    def always_first(self) -> str | None:
        """The side that ran first every time, where one did."""
        if (self.first_came_first == 0) == (self.second_came_first == 0):
            return None
        return self.first if self.first_came_first else self.second

    @property
    def winner(self) -> str | None:
        """'first' or 'second' where one is better beyond doubt of chance and order, else None."""
        if not self.evident or self.always_first is not None or self.ratio is None:
            return None
        return "first" if (self.ratio > 1.0) == self.quantity.more_is_better else "second"


def sentence_of(finding: Finding) -> str:
    """The comparison in one sentence."""
    first, second, noun = finding.first, finding.second, finding.quantity.noun
    of, on = finding.of, finding.on
    if finding.ratio is None:
        pairs = "one pair" if finding.pairs == 1 else "no pair"
        return f"There is {pairs} of runs to compare {first} with {second} by, so nothing is said."
    seen = (
        f"over {finding.pairs} pairs the {noun} {of} {first} was {figure(finding.ratio)} times "
        f"that {of} {second} (95 % interval {figure(finding.low)} to {figure(finding.high)})"
    )
    if finding.winner is not None:
        better = first if finding.winner == "first" else second
        other = second if finding.winner == "first" else first
        return (
            f"The {noun} was better {on} {better} than {on} {other}: {seen}; were they alike, "
            f"chance would part them as far in {share(finding.p)}."
        )
    if finding.evident:
        return (
            f"{_capital(seen)}, but {finding.always_first} always ran first, so the order may be "
            "the cause."
        )
    if finding.pairs < fewest_pairs():
        return f"{_capital(seen)}: too few pairs to tell a difference from chance."
    return (
        f"No difference is shown: {seen}, and were they alike, chance would part them as far in "
        f"{share(finding.p)}."
    )


def doubts_of(finding: Finding, pairs: Sequence[Pair]) -> tuple[str, ...]:
    """What weakens the comparison, one sentence each."""
    told = []
    times, most = _order(finding)
    if times and most >= LOPSIDED * times:
        side = finding.first if most == finding.first_came_first else finding.second
        told.append(
            f"{side} ran first in {most} of {times} matched runs: let the other begin at every "
            "second stop."
        )
    unsettled = sum(pair.unsettled for pair in pairs)
    if unsettled:
        told.append(
            f"In {unsettled} of {len(pairs)} pairs no sector is likelier than not on both "
            "sides, so they may have been on different ones."
        )
    if 2 <= len(pairs) < fewest_pairs():
        told.append(
            f"{len(pairs)} pairs cannot show a difference at {100 * LEVEL:.0f} %: the exact test "
            f"needs {fewest_pairs()}."
        )
    return tuple(told)


def _order(finding: Finding) -> tuple[int, int]:
    """How many matches were run in turn, and how many of them the same side began."""
    both = (finding.first_came_first, finding.second_came_first)
    return sum(both), max(both)


def figure(value: float) -> str:
    """A ratio with as many digits as it deserves, never rounded onto 1 from one side of it."""
    for digits in (2, 3, 4):
        text = f"{value:.{digits}f}"
        if float(text) not in (0.0, 1.0) or value == 1.0:
            return text
    return f"{value:.3g}"


def share(p: float) -> str:
    """A probability as a share of surveys: '12 % of such surveys'."""
    if p < 0.001:
        return "fewer than 1 in 1000 such surveys"
    return f"{100.0 * p:.2g} % of such surveys" if p < 0.995 else "nearly all such surveys"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
