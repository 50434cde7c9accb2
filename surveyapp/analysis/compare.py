"""Two phones, two visits, two servers or two times of day compared, never beyond the evidence.

Runs are paired within places under like conditions, each place counts once, and the ratio of
the two sides' geometric means is told with its interval and an exact test. A better side is
named only where both speak for it and the order of the runs cannot be the cause.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import time, timedelta, tzinfo

from surveyapp.analysis.compare_words import Finding, doubts_of, sentence_of
from surveyapp.analysis.dropouts import Dropouts, dropouts_of
from surveyapp.analysis.paired_statistics import (
    LEVEL,
    Interval,
    hodges_lehmann,
    mean_result,
    pairs_needed,
    rank_interval,
    sign_flip,
)
from surveyapp.analysis.pairs import Conditions, Group, LeftOut, Pair, pair_up
from surveyapp.analysis.places_matched import by_place
from surveyapp.analysis.runs import Quantity, RunAt, runs_of
from surveyapp.analysis.shared_runs import SharedRuns, shared_runs
from surveyapp.model import StopScene

SHOWN_PCT = (5.0, 10.0, 20.0)  # differences for which the needed pairs are told
WITHIN = timedelta(minutes=10)
APART = Conditions(within=None, same_device=True)
OF, ON = ("of", "on"), ("on", "on")  # the download of a phone, on a visit, better on either
AGAINST, FROM = ("against", "against"), ("from", "from")  # a server, 07:00 to 09:00
SAME_PLACE_M = 15.0  # two stops closer than this are the same place, our choice

Served = Mapping[str, str | None]


@dataclass(frozen=True, kw_only=True, slots=True)
class Ratio:
    """First side over second: geometric means, Student's interval on logarithms, exact test.

    `typical` and `rank` are the Hodges-Lehmann ratio and its distribution-free interval, with
    the confidence it really has. `spread_pct` is by how much one pair's ratio mostly differs
    from the mean one (one standard deviation).
    """

    ratio: float
    interval: Interval
    p: float
    exact: bool
    typical: float
    rank: Interval
    spread_pct: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """All that is known of one side against the other. `winner` is 'first', 'second' or None.

    How often each side came first is 0 for both where their runs were not made in turn.
    `more_pairs` gives for each percentage of SHOWN_PCT how many further pairs would show such
    a difference in 80 of 100 surveys, at the spread seen; empty below two pairs. `dropouts`
    are those of the two phones, where phones are compared. `alike` is the ratio without the
    pairs whose carriers were unlike, None where there are none or too few are left.
    """

    first: str
    second: str
    quantity: Quantity
    pairs: tuple[Pair, ...]
    left_out: tuple[LeftOut, ...]
    ratio: Ratio | None
    first_came_first: int
    second_came_first: int
    more_pairs: tuple[tuple[float, int], ...]
    winner: str | None
    shared: SharedRuns | None
    dropouts: tuple[Dropouts, Dropouts] | None
    alike: Ratio | None
    doubts: tuple[str, ...]
    sentence: str


def compare_devices(
    scenes: Sequence[StopScene],
    first_id: str,
    second_id: str,
    *,
    quantity: Quantity = Quantity.DOWN,
    within: timedelta | None = WITHIN,
    served: Served | None = None,
) -> Comparison:
    """The phones with these ids, paired within stops; `served` as `sectors_served` gives it."""
    names = {device.id: device.label for scene in scenes for device in scene.devices}
    runs = runs_of(scenes, served)
    groups = [
        Group(
            place=f"{scene.survey.title}, stop {scene.stop.number}",
            first=_those(runs, scene.stop.id, first_id),
            second=_those(runs, scene.stop.id, second_id),
        )
        for scene in scenes
    ]
    return _compared(
        (names.get(first_id, "first phone"), names.get(second_id, "second phone")),
        groups,
        quantity,
        Conditions(within=within),
        OF,
        shared=shared_runs(runs, first_id, second_id, quantity),
        dropouts=(
            dropouts_of(scenes, first_id, second_id),
            dropouts_of(scenes, second_id, first_id),
        ),
    )


def compare_servers(
    scenes: Sequence[StopScene],
    first: str,
    second: str,
    *,
    quantity: Quantity = Quantity.DOWN,
    within: timedelta | None = WITHIN,
    served: Served | None = None,
) -> Comparison:
    """Two test servers by their place's name, paired within stops on the same phone."""
    runs = runs_of(scenes, served)
    groups = [
        Group(
            place=f"{scene.survey.title}, stop {scene.stop.number}",
            first=tuple(one for one in here if one.run.server_place == first),
            second=tuple(one for one in here if one.run.server_place == second),
        )
        for scene in scenes
        for here in [[one for one in runs if one.stop.id == scene.stop.id]]
    ]
    conditions = Conditions(within=within, same_server=False, same_device=True)
    return _compared((first, second), groups, quantity, conditions, AGAINST)


def compare_visits(
    first: Sequence[StopScene],
    second: Sequence[StopScene],
    *,
    quantity: Quantity = Quantity.DOWN,
    reach_m: float = SAME_PLACE_M,
    served: Served | None = None,
    names: tuple[str, str] | None = None,
) -> Comparison:
    """Two visits, paired by place (stops at most `reach_m` apart) on the same phone and server."""
    groups = by_place(runs_of(first, served), runs_of(second, served), reach_m)
    titles = names or (_title(first, "first visit"), _title(second, "second visit"))
    return _compared(titles, groups, quantity, APART, ON)


def compare_hours(
    scenes: Sequence[StopScene],
    first: tuple[time, time],
    second: tuple[time, time],
    time_zone: tzinfo,
    *,
    quantity: Quantity = Quantity.DOWN,
    reach_m: float = SAME_PLACE_M,
    served: Served | None = None,
) -> Comparison:
    """Two spans of local time, each from its first moment up to its second (over midnight where
    that comes earlier), paired by place on the same phone and server."""
    runs = runs_of(scenes, served)

    def of(span: tuple[time, time]) -> list[RunAt]:
        return [run for run in runs if _in_span(run.time_utc.astimezone(time_zone).time(), span)]

    groups = by_place(of(first), of(second), reach_m)
    names = (_span_name(first), _span_name(second))
    return _compared(names, groups, quantity, APART, FROM)


def _those(runs: Iterable[RunAt], stop_id: str, device_id: str) -> tuple[RunAt, ...]:
    return tuple(one for one in runs if one.stop.id == stop_id and one.run.device_id == device_id)


def _title(scenes: Sequence[StopScene], otherwise: str) -> str:
    return scenes[0].survey.title if scenes else otherwise


def _in_span(moment: time, span: tuple[time, time]) -> bool:
    start, end = span
    return start <= moment < end if start <= end else moment >= start or moment < end


def _span_name(span: tuple[time, time]) -> str:
    return f"{span[0]:%H:%M} to {span[1]:%H:%M}"


def _compared(
    names: tuple[str, str],
    groups: Sequence[Group],
    quantity: Quantity,
    conditions: Conditions,
    links: tuple[str, str],
    shared: SharedRuns | None = None,
    dropouts: tuple[Dropouts, Dropouts] | None = None,
) -> Comparison:
    """The comparison of two sides whose runs are grouped by place."""
    paired = pair_up(groups, quantity, conditions)
    logs = [pair.log_ratio for pair in paired.pairs]
    ratio = ratio_of(logs) if len(logs) > 1 else None
    alike = [pair.log_ratio for pair in paired.pairs if not pair.unlike]
    in_turn = conditions.within is not None
    first_first = sum(pair.first_came_first for pair in paired.pairs) * in_turn
    second_first = sum(pair.second_came_first for pair in paired.pairs) * in_turn
    judged = first_first + second_first > 1  # one run is always first
    finding = Finding(
        first=names[0],
        second=names[1],
        quantity=quantity,
        pairs=len(logs),
        ratio=ratio.ratio if ratio else None,
        low=ratio.interval.low if ratio else 0.0,
        high=ratio.interval.high if ratio else 0.0,
        p=ratio.p if ratio else 1.0,
        evident=ratio is not None and is_evident(ratio),
        first_came_first=first_first if judged else 0,
        second_came_first=second_first if judged else 0,
        of=links[0],
        on=links[1],
    )
    return Comparison(
        first=names[0],
        second=names[1],
        quantity=quantity,
        pairs=paired.pairs,
        left_out=paired.left_out,
        ratio=ratio,
        first_came_first=first_first,
        second_came_first=second_first,
        more_pairs=_more_pairs(logs),
        winner=finding.winner,
        shared=shared,
        dropouts=dropouts,
        alike=ratio_of(alike) if 1 < len(alike) < len(logs) else None,
        doubts=doubts_of(finding, paired.pairs),
        sentence=sentence_of(finding),
    )


def ratio_of(log_ratios: Sequence[float]) -> Ratio:
    """The statistics of log ratios, one a place; raises NoAnswer for fewer than two."""
    mean, flip, rank = mean_result(log_ratios), sign_flip(log_ratios), rank_interval(log_ratios)
    return Ratio(
        ratio=math.exp(mean.mean),
        interval=_as_ratio(mean.interval),
        p=flip.p,
        exact=flip.exact,
        typical=math.exp(hodges_lehmann(log_ratios)),
        rank=_as_ratio(rank),
        spread_pct=100.0 * math.expm1(mean.deviation),
    )


def is_evident(ratio: Ratio) -> bool:
    """Whether exact test and interval both speak against no difference at all."""
    return ratio.p <= LEVEL and not ratio.interval.low <= 1.0 <= ratio.interval.high


def _as_ratio(interval: Interval) -> Interval:
    return Interval(
        low=math.exp(interval.low), high=math.exp(interval.high), confidence=interval.confidence
    )


def _more_pairs(logs: Sequence[float]) -> tuple[tuple[float, int], ...]:
    if len(logs) < 2:
        return ()
    deviation = mean_result(logs).deviation
    return tuple(
        (pct, max(0, pairs_needed(deviation, math.log1p(pct / 100.0)) - len(logs)))
        for pct in SHOWN_PCT
    )
