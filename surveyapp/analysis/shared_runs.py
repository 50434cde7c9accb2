"""Runs made at the same time on two phones: each had a share of what the sector gave."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from surveyapp.analysis.paired_statistics import MeanResult, mean_result
from surveyapp.analysis.runs import Quantity, RunAt


@dataclass(frozen=True, kw_only=True, slots=True)
class SharedRuns:
    """Runs made together, one entry a stop: the first side's share and the sum of both, Mbit/s.

    `share` is the middle share with its interval, worked out on log ratios; the interval is
    None below two stops.
    """

    stops: int
    shares: tuple[float, ...]
    sums_mbps: tuple[float, ...]
    share: float
    share_low: float | None
    share_high: float | None
    median_sum_mbps: float


def shared_runs(
    runs: Sequence[RunAt], first_id: str, second_id: str, quantity: Quantity
) -> SharedRuns | None:
    """The runs both phones made together; None where there are none, or for ping, which is
    no amount to share."""
    if quantity is Quantity.PING:
        return None
    by_id = {one.run.id: one for one in runs}
    logs: dict[str, list[float]] = {}
    sums: dict[str, list[float]] = {}
    for one in runs:
        other = by_id.get(one.shared_with or "")
        if other is None or (one.run.device_id, other.run.device_id) != (first_id, second_id):
            continue
        mine, theirs = quantity.of(one.run), quantity.of(other.run)
        if mine is None or theirs is None or not (mine > 0.0 and theirs > 0.0):
            continue
        logs.setdefault(one.stop.id, []).append(math.log(mine / theirs))
        sums.setdefault(one.stop.id, []).append(mine + theirs)
    if not logs:
        return None
    return _told([_mean(held) for held in logs.values()], [_mean(held) for held in sums.values()])


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _told(ratios: Sequence[float], sums: Sequence[float]) -> SharedRuns:
    found: MeanResult | None = mean_result(ratios) if len(ratios) > 1 else None
    return SharedRuns(
        stops=len(ratios),
        shares=tuple(_share(ratio) for ratio in ratios),
        sums_mbps=tuple(sums),
        share=_share(_mean(ratios)),
        share_low=_share(found.interval.low) if found else None,
        share_high=_share(found.interval.high) if found else None,
        median_sum_mbps=median(sums),
    )


def _share(log_ratio: float) -> float:
    """a/(a+b) from ln(a/b), without overflow."""
    return 0.5 * (1.0 + math.tanh(log_ratio / 2.0))
