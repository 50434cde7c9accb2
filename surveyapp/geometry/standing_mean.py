"""The place one stands at, from what the receiver says while standing there.

Samples are weighted by their own accuracy; what cannot be (no number, an hour old, a time in
1970) and what jumps away from the rest is refused and told. Errors of a receiver hardly change
within a minute (multipath and atmosphere, common practice), so a hundred samples of one minute
are worth little more than one: the mean's sigma says so instead of shrinking with their count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import median

from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import PositionSample

CORRELATION_S = 60.0  # from memory: multipath errors of a still receiver, one to a few minutes
RADIUS_68 = math.sqrt(-2.0 * math.log(0.32))  # circular normal: radius of 68 % in sigmas, 1.51
WORST_ACCURACY_M = 200.0  # beyond this it is a guess from the network, no position
OLDEST_S = 30.0
CLOCKS_APART_S = 600.0
JUMP_SIGMAS = 4.0
LEAST_JUMP_M = 15.0
FROZEN_COUNT = 10
FROZEN_S = 8.0
FIRST_YEAR = 2020


@dataclass(frozen=True, slots=True)
class Refused:
    """A sample that was not used, and why, as a clause."""

    sample: PositionSample
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class StandingMean:
    """The mean place; `sigma_m` is one standard deviation along each axis.

    `age_s` is that of the newest sample used. `doubts` are sentences for the surveyor.
    """

    lat_deg: float
    lon_deg: float
    sigma_m: float
    height_m: float | None
    used: int
    refused: tuple[Refused, ...]
    age_s: float
    stood_s: float
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Placed:
    """A sample on the local plane, with its sigma along each axis."""

    sample: PositionSample
    east_m: float
    north_m: float
    sigma_m: float


def standing_mean(samples: Sequence[PositionSample], now_utc: datetime) -> StandingMean:
    """The place of all samples while standing still, as of `now_utc`.

    Raises NoAnswer where no sample is usable or they agree on no place; the message says why.
    """
    sound, refused = _sound(samples, now_utc)
    if not sound:
        raise NoAnswer(_nothing_usable(refused))
    plane = Plane(sound[0].lat_deg, sound[0].lon_deg)
    placed = [_place(plane, sample) for sample in sound]
    near, jumped = _without_jumps(placed)
    if len(near) * 2 <= len(placed):
        raise NoAnswer(
            "The positions jump about and agree on no place: wait for a clear sky, "
            "or set the stop on the plan."
        )
    weights = [1.0 / item.sigma_m**2 for item in near]
    east_m = _weighted([item.east_m for item in near], weights)
    north_m = _weighted([item.north_m for item in near], weights)
    lat_deg, lon_deg = plane.to_world(east_m, north_m)
    times = [item.sample.time_utc for item in near]
    stood_s = (max(times) - min(times)).total_seconds()
    frozen = is_frozen([(i.sample.lat_deg, i.sample.lon_deg) for i in near], times)
    heights = [i.sample.height_m for i in near if i.sample.height_m is not None]
    return StandingMean(
        lat_deg=float(lat_deg),
        lon_deg=float(lon_deg),
        sigma_m=_sigma(near, weights, east_m, north_m, 0.0 if frozen else stood_s),
        height_m=median(heights) if heights else None,
        used=len(near),
        refused=(*refused, *jumped),
        age_s=max(0.0, (now_utc - max(times)).total_seconds()),
        stood_s=stood_s,
        doubts=tuple(_doubts(near, jumped, frozen)),
    )


def is_frozen(values: Sequence[object], times: Sequence[datetime]) -> bool:
    """Whether a sensor says the very same for so long that it has stopped measuring."""
    if len(values) < FROZEN_COUNT:
        return False
    long = (max(times) - min(times)).total_seconds() >= FROZEN_S
    return long and all(value == values[0] for value in values)


def _sound(
    samples: Sequence[PositionSample], now_utc: datetime
) -> tuple[list[PositionSample], list[Refused]]:
    """Samples that can be a position of just now, and the others with their reason."""
    sound: list[PositionSample] = []
    refused: list[Refused] = []
    for sample in samples:
        reason = _impossible(sample) or _out_of_time(sample, now_utc)
        if reason:
            refused.append(Refused(sample, reason))
        else:
            sound.append(sample)
    newest = max((sample.time_utc for sample in sound), default=now_utc)
    if (now_utc - newest).total_seconds() > OLDEST_S:
        refused += [Refused(one, _old((now_utc - one.time_utc).total_seconds())) for one in sound]
        sound = []
    return sound, refused


def _impossible(sample: PositionSample) -> str:
    numbers = (sample.lat_deg, sample.lon_deg, sample.accuracy_m or 0.0)
    if not all(map(math.isfinite, numbers)):
        return "it is no number"
    if not (abs(sample.lat_deg) <= 90.0 and abs(sample.lon_deg) <= 180.0):
        return "it lies nowhere on Earth"
    if sample.lat_deg == 0.0 and sample.lon_deg == 0.0:
        return "it is 0, 0, which a receiver says when it knows nothing"
    if sample.accuracy_m is None or sample.accuracy_m <= 0.0:
        return "it does not say how accurate it is"
    if sample.accuracy_m > WORST_ACCURACY_M:
        return f"it is good to {sample.accuracy_m:.0f} m only"
    return ""


def _out_of_time(sample: PositionSample, now_utc: datetime) -> str:
    if sample.time_utc > now_utc:
        return "it comes from the future"
    fix_utc = sample.fix_utc
    if fix_utc is None:
        return ""
    if fix_utc.year < FIRST_YEAR:
        return f"its time is in {fix_utc.year}"
    behind_s = (sample.time_utc - fix_utc.astimezone(UTC)).total_seconds()
    if abs(behind_s) > CLOCKS_APART_S:
        return "its time is far from this phone's"
    return _old(behind_s) if behind_s > OLDEST_S else ""


def _old(age_s: float) -> str:
    """'it is 40 s old', 'it is 12 min old', 'it is 3 h old'."""
    if age_s < 120.0:
        return f"it is {age_s:.0f} s old"
    return (
        f"it is {age_s / 60.0:.0f} min old" if age_s < 7200.0 else f"it is {age_s / 3600:.0f} h old"
    )


def _nothing_usable(refused: Sequence[Refused]) -> str:
    if not refused:
        return "No position has come yet: wait under open sky, or set the stop on the plan."
    return (
        f"No position is usable: the last one was refused because {refused[-1].reason}. "
        "Wait under open sky, or set the stop on the plan."
    )


def _place(plane: Plane, sample: PositionSample) -> _Placed:
    east_m, north_m = plane.to_plane(sample.lat_deg, sample.lon_deg)
    assert sample.accuracy_m is not None
    return _Placed(sample, float(east_m), float(north_m), sample.accuracy_m / RADIUS_68)


def _without_jumps(placed: Sequence[_Placed]) -> tuple[list[_Placed], list[Refused]]:
    """Refuse what lies far from the middle, where half of the samples cannot be led astray."""
    east_m = median(item.east_m for item in placed)
    north_m = median(item.north_m for item in placed)
    usual_m = median(item.sigma_m for item in placed)
    near: list[_Placed] = []
    jumped: list[Refused] = []
    for item in placed:
        off_m = math.hypot(item.east_m - east_m, item.north_m - north_m)
        if off_m <= max(LEAST_JUMP_M, JUMP_SIGMAS * math.hypot(item.sigma_m, usual_m)):
            near.append(item)
        else:
            jumped.append(Refused(item.sample, f"it jumps {off_m:,.0f} m away from the others"))
    return near, jumped


def _weighted(values: Sequence[float], weights: Sequence[float]) -> float:
    return sum(v * w for v, w in zip(values, weights, strict=True)) / sum(weights)


def _sigma(
    near: Sequence[_Placed],
    weights: Sequence[float],
    east_m: float,
    north_m: float,
    stood_s: float,
) -> float:
    """Sigma of the mean along an axis: what is stated, or the scatter where that is larger."""
    independent = min(float(len(near)), independent_samples(stood_s))
    stated_m = math.sqrt(len(near) / sum(weights))
    squares = [(i.east_m - east_m) ** 2 + (i.north_m - north_m) ** 2 for i in near]
    scatter_m = math.sqrt(_weighted(squares, weights) / 2.0)
    return max(stated_m, scatter_m) / math.sqrt(independent)


def independent_samples(stood_s: float) -> float:
    """How many independent samples a mean over so long is worth, at least one.

    Variance of the time average of a first-order Gauss-Markov process, x = time / correlation
    time: 2/x - 2/x^2 (1 - exp(-x)); A. Papoulis, Probability, Random Variables and Stochastic
    Processes, section on time averages; from memory.
    """
    x = stood_s / CORRELATION_S
    if x < 1e-3:
        return 1.0
    return 1.0 / (2.0 / x + 2.0 * math.expm1(-x) / x**2)


def _doubts(near: Sequence[_Placed], jumped: Sequence[Refused], frozen: bool) -> list[str]:
    doubts = []
    if frozen:
        doubts.append("The position has not moved by a single digit: the receiver may be stuck.")
    if jumped:
        count = "One position" if len(jumped) == 1 else f"{len(jumped)} positions"
        doubts.append(f"{count} left out: the last {jumped[-1].reason.removeprefix('it ')}.")
    third = len(near) // 3
    if third >= 3:
        moved_m = math.dist(_middle(near[:third]), _middle(near[-third:]))
        usual_m = median(item.sigma_m for item in near)
        if moved_m > max(5.0, 2.0 * usual_m):
            doubts.append(
                f"The position drifted by {moved_m:.0f} m: stand still, or start the stop anew."
            )
    return doubts


def _middle(items: Sequence[_Placed]) -> tuple[float, float]:
    """East and north in metres; degrees would not do across the date line."""
    return median(item.east_m for item in items), median(item.north_m for item in items)
