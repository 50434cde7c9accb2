"""Runs brought together into pairs under like conditions, with all that was left out and why."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from surveyapp.analysis.runs import Quantity, RunAt


@dataclass(frozen=True, kw_only=True, slots=True)
class Conditions:
    """What two runs must share to be compared; what was not recorded on one does not part them.

    `within` is the longest time between them, None for any.
    """

    within: timedelta | None = timedelta(minutes=10)
    same_server: bool = True
    same_device: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """The runs of one place, to be paired among themselves; `place` names it in words."""

    place: str
    first: tuple[RunAt, ...]
    second: tuple[RunAt, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Pair:
    """One place's evidence: geometric means of the first and the second side's runs there.

    Several runs at one place share its fading and its crowd, so they count as one pair. `unlike`
    names both sides' carriers where some runs of the pair had others; they stay in the pair.
    """

    place: str
    first_value: float
    second_value: float
    log_ratio: float
    matches: int
    first_came_first: int
    second_came_first: int
    unsettled: bool
    unlike: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOut:
    """How many runs were left out for one reason."""

    reason: str
    runs: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Paired:
    """All pairs, and what was left out."""

    pairs: tuple[Pair, ...]
    left_out: tuple[LeftOut, ...]


Match = tuple[RunAt, RunAt]


def pair_up(groups: Iterable[Group], quantity: Quantity, conditions: Conditions) -> Paired:
    """Pair the runs of each group, nearest in time first, each run once at most."""
    pairs: list[Pair] = []
    reasons: Counter[str] = Counter()
    for group in groups:
        first = [run for run in group.first if _usable(run, quantity, reasons)]
        second = [run for run in group.second if _usable(run, quantity, reasons)]
        matches = _matches(first, second, conditions)
        used = {one.run.id for match in matches for one in match}
        for own, others in ((first, second), (second, first)):
            for run in own:
                if run.run.id not in used:
                    reasons[_why_alone(run, others, conditions)] += 1
        if matches:
            pairs.append(_pair(group.place, matches, quantity))
    told = tuple(LeftOut(reason=why, runs=count) for why, count in reasons.most_common())
    return Paired(pairs=tuple(pairs), left_out=told)


def _usable(one: RunAt, quantity: Quantity, reasons: Counter[str]) -> bool:
    """Whether a run has a value a ratio can be made of, and was made alone."""
    value = quantity.of(one.run)
    if one.shared_with is not None:
        reasons["made at the same time as another phone's, which had its share"] += 1
        return False
    if value is None:
        reasons[f"without a value for {quantity.noun}"] += 1
        return False
    if not (math.isfinite(value) and value > 0.0):
        reasons[f"with a {quantity.noun} of zero or an impossible one: no ratio"] += 1
        return False
    return True


def _matches(
    first: Sequence[RunAt], second: Sequence[RunAt], conditions: Conditions
) -> list[Match]:
    """Runs that may be compared, the closest in time first."""
    possible = [
        (abs(one.time_utc - other.time_utc), place, other_place)
        for place, one in enumerate(first)
        for other_place, other in enumerate(second)
        if why_apart(one, other, conditions) is None
    ]
    taken_first: set[int] = set()
    taken_second: set[int] = set()
    matches = []
    for _, place, other_place in sorted(possible):
        if place in taken_first or other_place in taken_second:
            continue
        taken_first.add(place)
        taken_second.add(other_place)
        matches.append((first[place], second[other_place]))
    return matches


def why_apart(one: RunAt, other: RunAt, conditions: Conditions) -> str | None:
    """Why two runs may not be compared, or None where they may."""
    return next(_partings(one, other, conditions), None)


def _partings(one: RunAt, other: RunAt, conditions: Conditions) -> Iterator[str]:
    if conditions.same_device and one.run.device_id != other.run.device_id:
        yield "on another phone"
    if one.has_5g is not None and other.has_5g is not None and one.has_5g != other.has_5g:
        yield "with 5G on one side only (counted as lost 5G)"
    if _differ(one.sector_id, other.sector_id):
        yield "served by different sectors"
    if conditions.same_server and _differ(one.run.server_place, other.run.server_place):
        yield "against different servers"
    if one.run.streams is not other.run.streams:
        yield "with many streams on one side and one on the other"
    if conditions.within is not None and abs(one.time_utc - other.time_utc) > conditions.within:
        minutes = conditions.within / timedelta(minutes=1)
        yield f"more than {minutes:g} minutes apart"


def _differ(one: str | None, other: str | None) -> bool:
    return bool(one) and bool(other) and one != other


def _why_alone(run: RunAt, others: Sequence[RunAt], conditions: Conditions) -> str:
    """Why a run found no partner, told by the run of the other side nearest in time."""
    if not others:
        return "without a run of the other side at that place"
    nearest = min(others, key=lambda other: abs(other.time_utc - run.time_utc))
    why = why_apart(run, nearest, conditions)
    return why or "more than the other side has there"


def _pair(place: str, matches: Sequence[Match], quantity: Quantity) -> Pair:
    """The pair a place gives: the mean over its matches, in logarithms."""
    first = _mean_log([one for one, _ in matches], quantity)
    second = _mean_log([other for _, other in matches], quantity)
    return Pair(
        place=place,
        first_value=math.exp(first),
        second_value=math.exp(second),
        log_ratio=first - second,
        matches=len(matches),
        first_came_first=sum(one.time_utc < other.time_utc for one, other in matches),
        second_came_first=sum(one.time_utc > other.time_utc for one, other in matches),
        unlike=next((told for match in matches if (told := _unlike(*match))), ""),
        unsettled=any(one.sector_id is None or other.sector_id is None for one, other in matches),
    )


def _unlike(one: RunAt, other: RunAt) -> str:
    """'n258 100 MHz against n258 4 × 100 MHz'; '' where they are alike or not known."""
    if not one.carriers or not other.carriers or one.carriers == other.carriers:
        return ""
    return f"{one.carriers} against {other.carriers}"


def _mean_log(runs: Sequence[RunAt], quantity: Quantity) -> float:
    values = [value for one in runs if (value := quantity.of(one.run)) is not None]
    return math.fsum(math.log(value) for value in values) / len(values)
