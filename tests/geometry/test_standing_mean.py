"""The place one stands at, from a receiver that errs, drifts, jumps, sticks and lies."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.geometry.standing_mean import (
    CORRELATION_S,
    RADIUS_68,
    independent_samples,
    standing_mean,
)
from surveyapp.model import PositionSample

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
LAT_DEG, LON_DEG = 60.1705, 24.9405
ONE_CENTIMETRE_M = 0.01
RNG = np.random.default_rng(4)


def sample(
    east_m: float = 0.0, north_m: float = 0.0, *, ago_s: float = 0.0, accuracy_m: float = 6.0
) -> PositionSample:
    """A sample so far from the true place, so long ago."""
    azimuth_deg = math.degrees(math.atan2(east_m, north_m))
    lat_deg, lon_deg = destination(LAT_DEG, LON_DEG, azimuth_deg, math.hypot(east_m, north_m))
    return PositionSample(
        time_utc=NOW - timedelta(seconds=ago_s), lat_deg=lat_deg, lon_deg=lon_deg,
        accuracy_m=accuracy_m, height_m=20.0,
    )  # fmt: skip


def wandering(count: int = 30, sigma_m: float = 4.0) -> list[PositionSample]:
    """A minute of a receiver whose error wanders with the correlation time that is assumed."""
    step_s = 2.0
    keep = math.exp(-step_s / CORRELATION_S)
    error_m = RNG.normal(0.0, sigma_m, 2)
    made = []
    for at in range(count):
        ago_s = (count - at) * step_s
        made.append(sample(*error_m, ago_s=ago_s, accuracy_m=sigma_m * RADIUS_68))
        error_m = keep * error_m + RNG.normal(0.0, sigma_m * math.sqrt(1 - keep**2), 2)
    return made


def off_m(lat_deg: float, lon_deg: float) -> float:
    """Distance from the true place."""
    return inverse(LAT_DEG, LON_DEG, lat_deg, lon_deg).distance_m


def test_better_samples_weigh_more() -> None:
    """Two samples 10 m apart, sigmas 1 to 3: the mean lies 1 m from the better (weights 9 to 1)."""
    mean = standing_mean([sample(accuracy_m=3.0), sample(10.0, accuracy_m=9.0)], NOW)

    assert off_m(mean.lat_deg, mean.lon_deg) == pytest.approx(1.0, abs=ONE_CENTIMETRE_M)
    assert mean.used == 2
    assert mean.height_m == 20.0


def test_the_stated_sigma_is_honest_for_a_wandering_receiver() -> None:
    """Of simulated minutes, 68 % lie within the mean's own radius of 68 %, give or take."""
    hits = []
    for _ in range(300):
        mean = standing_mean(wandering(), NOW)
        hits.append(off_m(mean.lat_deg, mean.lon_deg) <= RADIUS_68 * mean.sigma_m)

    # binomial sigma of 300 at 0.68 is 0.027: three of them, and what two assumptions differ by
    assert 0.58 <= np.mean(hits) <= 0.80


def test_a_hundred_samples_of_one_second_are_worth_one() -> None:
    """The receiver's error is the same in all of them."""
    mean = standing_mean([sample(accuracy_m=6.0, ago_s=i / 100) for i in range(100)], NOW)

    assert mean.sigma_m == pytest.approx(6.0 / RADIUS_68, rel=0.02)


def test_averaging_longer_helps_slowly() -> None:
    """Against the double integral of the correlation over the time stood, done numerically."""
    times = (np.arange(2_000) + 0.5) / 2_000
    for share in (1e-4, 0.1, 1.0, 5.0, 20.0):
        apart = np.abs(times[:, None] - times[None, :]) * share
        variance = np.exp(-apart).mean()

        assert independent_samples(share * CORRELATION_S) == pytest.approx(1 / variance, rel=1e-3)


def test_a_jump_of_three_kilometres_is_refused_and_told() -> None:
    """The mean stays, and a sentence says what was left out."""
    samples = [sample(i % 3, i % 2, ago_s=9 - i) for i in range(9)]
    mean = standing_mean([*samples, sample(3_000.0)], NOW)

    assert off_m(mean.lat_deg, mean.lon_deg) < 3.0
    assert [refused.reason for refused in mean.refused] == ["it jumps 2,999 m away from the others"]
    assert mean.doubts == ("One position left out: the last jumps 2,999 m away from the others.",)


@pytest.mark.parametrize(
    ("lie", "reason"),
    [
        ({"lat_deg": math.nan}, "no number"),
        ({"lon_deg": math.inf}, "no number"),
        ({"lat_deg": 95.0}, "nowhere on Earth"),
        ({"lat_deg": 0.0, "lon_deg": 0.0}, "knows nothing"),
        ({"accuracy_m": None}, "how accurate"),
        ({"accuracy_m": 0.0}, "how accurate"),
        ({"accuracy_m": 1_500.0}, "1500 m only"),
        ({"fix_utc": datetime(1970, 1, 1, tzinfo=UTC)}, "in 1970"),
        ({"fix_utc": NOW + timedelta(days=1)}, "far from this phone's"),
        ({"fix_utc": NOW - timedelta(minutes=2)}, "old"),
        ({"time_utc": NOW + timedelta(seconds=1)}, "future"),
    ],
)
def test_a_lie_is_refused_with_its_reason(lie: dict[str, object], reason: str) -> None:
    """Beside a sound sample it is left out; alone there is no answer, and why is said."""
    false = replace(sample(), **lie)

    assert reason in standing_mean([sample(), false], NOW).refused[0].reason
    with pytest.raises(NoAnswer, match=reason):
        standing_mean([false], NOW)


def test_a_stuck_receiver_is_told_and_gains_nothing_by_standing() -> None:
    """The same digits for ten seconds and more."""
    mean = standing_mean([sample(3.0, 4.0, ago_s=i * 10.0) for i in range(20)], NOW)

    assert "stuck" in mean.doubts[0]
    assert mean.sigma_m == pytest.approx(6.0 / RADIUS_68, rel=0.02)


def test_walking_is_told() -> None:
    """A drift of some 30 m is no standing."""
    mean = standing_mean([sample(i * 1.0, ago_s=30 - i) for i in range(30)], NOW)

    assert any("drifted by 20 m" in doubt for doubt in mean.doubts)


def test_positions_that_agree_on_nothing_give_no_answer() -> None:
    """Half here, half far away: neither is believed."""
    spread = [sample(i * 400.0, (-1) ** i * 500.0) for i in range(8)]
    with pytest.raises(NoAnswer, match="jump about"):
        standing_mean(spread, NOW)


def test_old_positions_are_no_position_of_now() -> None:
    """A receiver that went silent a minute ago."""
    with pytest.raises(NoAnswer, match=r"it is \d+ (s|min|h) old"):
        standing_mean([sample(ago_s=60.0), sample(ago_s=61.0)], NOW)
    with pytest.raises(NoAnswer, match="has come yet"):
        standing_mean([], NOW)


def test_the_age_is_that_of_the_newest_used() -> None:
    """So that the screen can say how fresh the place is."""
    assert standing_mean([sample(ago_s=12.0), sample(ago_s=20.0)], NOW).age_s == 12.0
