"""How often the comparison's interval holds the true ratio, and how often it names a winner
where there is none.

Each simulated survey has 4 to 12 stops. A stop has its own level, each run its own fading, and
the phones take turns in running first. `python -m tests.benchmarks.compare_calibration` draws
1,000 surveys for each kind of fading.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from surveyapp.analysis.compare import Comparison, compare_devices
from surveyapp.model import Device, SpeedRun, Stop, StopScene, Survey

SURVEYS = 1000
START = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
PHONES = (Device(id="a", label="Phone A"), Device(id="b", label="Phone B"))

Fading = Callable[[np.random.Generator], float]
FADINGS: dict[str, Fading] = {
    "normal in dB": lambda rng: float(rng.normal(0.0, 0.25)),
    "heavy tails (t, 4 degrees)": lambda rng: float(0.2 * rng.standard_t(4)),
    "now and then a third": lambda rng: float(
        rng.normal(0.0, 0.2) - (1.1 if rng.random() < 0.07 else 0.0)
    ),
}


@dataclass(frozen=True)
class Tally:
    """Of some surveys: shares whose interval held the truth, and that named a winner."""

    held: float
    rank_held: float
    rank_told: float
    named: float


def simulated(rng: np.random.Generator, ratio: float, fading: Fading) -> list[StopScene]:
    """The stops of one survey in which phone A is truly `ratio` times as fast."""
    survey = Survey(id="survey", title="Simulated")
    scenes = []
    for number in range(1, int(rng.integers(4, 13)) + 1):
        begin = START + timedelta(minutes=12 * number)
        stop = Stop(id=f"stop {number}", survey_id="survey", number=number, time_utc=begin)
        level = math.exp(rng.normal(6.0, 0.8))
        runs = []
        for place, phone in enumerate(PHONES if number % 2 else PHONES[::-1]):
            rate = level * math.exp(fading(rng)) * (ratio if phone.id == "a" else 1.0)
            runs.append(
                SpeedRun(
                    stop_id=stop.id,
                    device_id=phone.id,
                    time_utc=begin + timedelta(minutes=2 * place),
                    down_mbps=rate,
                )
            )
        scenes.append(StopScene(survey=survey, stop=stop, devices=PHONES, speed_runs=tuple(runs)))
    return scenes


def tally(surveys: int, ratio: float, fading: Fading, seed: int) -> Tally:
    """Compare in that many simulated surveys."""
    rng = np.random.default_rng(seed)
    found: list[Comparison] = [
        compare_devices(simulated(rng, ratio, fading), "a", "b") for _ in range(surveys)
    ]
    ratios = [one.ratio for one in found if one.ratio is not None]
    return Tally(
        held=float(np.mean([r.interval.low <= ratio <= r.interval.high for r in ratios])),
        rank_held=float(np.mean([r.rank.low <= ratio <= r.rank.high for r in ratios])),
        rank_told=float(np.mean([r.rank.confidence for r in ratios])),
        named=float(np.mean([one.winner is not None for one in found])),
    )


def main() -> None:
    """Print the shares."""
    print(f"{SURVEYS} surveys of 4 to 12 pairs each; shares in %")
    print(f"{'fading of a run':<28}{'ratio':>6}{'held':>7}{'ranks':>7}{'told':>7}{'named':>7}")
    for seed, (name, fading) in enumerate(FADINGS.items()):
        for ratio in (1.0, 1.2, 2.0):
            found = tally(SURVEYS, ratio, fading, seed)
            print(
                f"{name:<28}{ratio:>6.1f}{100 * found.held:>7.1f}{100 * found.rank_held:>7.1f}"
                f"{100 * found.rank_told:>7.1f}{100 * found.named:>7.1f}"
            )


if __name__ == "__main__":
    main()
