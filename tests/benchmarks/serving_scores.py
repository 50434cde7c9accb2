"""Scores of the serving answer on simulated stops: `python -m tests.benchmarks.serving_scores`.

Top-1 is the share of stops whose most probable entry is the one that serves. Log loss is the
mean of -ln(probability given to what serves). ECE is the expected calibration error of the
most probable entry over ten bins of equal width (Guo et al., On calibration of modern neural
networks, ICML 2017); 'by chance' is what perfectly calibrated answers of this confidence
would show for so many stops.

Beside our answer stand three others. 'Oracle' has the same notebook and knows all parameters
(beamwidth, EIRP and its spread, sigma, azimuth's spread, how many sites are not listed); it
is found by brute force (tests.benchmarks.serving_oracle). 'All-seeing' knows even what no
notebook holds: each site's true place, azimuth, EIRP, view, and whether it is on air. The
baseline 'nearest site, best aimed sector' names one sector; to give it a log loss it is
granted its own success rate, the rest spread evenly.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.geometry.serving_posterior import posterior
from tests.benchmarks.serving_cases import OWN, WRONG, Case, Truth
from tests.benchmarks.serving_oracle import drawn_levels, told_views, weighed
from tests.benchmarks.serving_world import World

FloatArray = NDArray[np.float64]
EVIDENCE = {
    "position only": (False, False),
    "RSRP": (True, False),
    "PCI": (False, True),
    "RSRP and PCI": (True, True),
}
BINS = 10


@dataclass(frozen=True)
class Score:
    """Scores over many stops."""

    top1: float
    log_loss: float
    calibration_error: float


def score(probabilities: Sequence[FloatArray], serves: Sequence[int]) -> Score:
    """Scores of answers against what truly served."""
    given = np.array([p[s] for p, s in zip(probabilities, serves, strict=True)])
    confidence = np.array([p.max() for p in probabilities])
    right = np.array([p.argmax() == s for p, s in zip(probabilities, serves, strict=True)])
    bins = np.minimum((confidence * BINS).astype(int), BINS - 1)
    gaps = [
        np.count_nonzero(bins == b) * abs(right[bins == b].mean() - confidence[bins == b].mean())
        for b in np.unique(bins)
    ]
    return Score(
        float(right.mean()), float(-np.log(np.maximum(given, 1e-12)).mean()), sum(gaps) / len(right)
    )


def answers(
    cases: Sequence[Case], *, rsrp: bool, pci: bool, oracle: bool = False
) -> list[FloatArray]:
    """Probabilities of every case, 'none' last."""
    result = []
    for case in cases:
        found = posterior(
            case.observation(rsrp=rsrp, pci=pci, oracle=oracle),
            case.oracle if oracle else case.ours,
        )
        assert found is not None
        result.append(found.probability)
    return result


def nearest_and_best_aimed(case: Case) -> int:
    """The baseline: of the nearest site the sector whose boresight points nearest to the stop."""
    lines = [inverse(*case.recorded_stop_deg, c.lat_deg, c.lon_deg) for c in case.ours]
    nearest = case.ours[int(np.argmin([line.distance_m for line in lines]))].site_id
    off = [
        abs(angle_between_deg(c.azimuth_deg or 0.0, line.azimuth_deg + 180.0))
        if c.site_id == nearest
        else 999.0
        for c, line in zip(case.ours, lines, strict=True)
    ]
    return int(np.argmin(off))


def baseline(cases: Sequence[Case]) -> Score:
    """Scores of the baseline."""
    right = [nearest_and_best_aimed(case) == case.serves for case in cases]
    rate = float(np.mean(right))
    rest = [(1.0 - rate) / len(case.ours) for case in cases]
    losses = [-np.log(rate if hit else other) for hit, other in zip(right, rest, strict=True)]
    return Score(rate, float(np.mean(losses)), 0.0)


def chance_error(probabilities: Sequence[FloatArray], rng: np.random.Generator) -> float:
    """Mean ECE if truth were drawn from the answers themselves."""
    trials = []
    for _ in range(20):
        drawn = [int(rng.choice(len(p), p=p)) for p in probabilities]
        trials.append(score(probabilities, drawn).calibration_error)
    return float(np.mean(trials))


def oracle_answers(cases: Sequence[Case]) -> dict[str, list[FloatArray]]:
    """The oracle's probabilities for each kind of evidence, from one set of draws a stop."""
    found: dict[str, list[FloatArray]] = {label: [] for label in EVIDENCE}
    for case in cases:
        levels = drawn_levels(case, np.random.default_rng(7))
        for label, (rsrp, pci) in EVIDENCE.items():
            found[label].append(weighed(levels, case, rsrp=rsrp, pci=pci))
    return found


def print_scores(name: str, truth: Truth, world: World, count: int) -> None:
    """One table; the oracle's columns only where the parameters are the model's own."""
    cases = list(world.cases(count))
    serves = [case.serves for case in cases]
    unlisted = np.mean([case.serves == len(case.ours) for case in cases])
    simple = baseline(cases)
    print(f"\n{name}: {count} stops, {100 * unlisted:.1f} % served by a sector not listed.")
    print(
        f"Baseline 'nearest site, best aimed sector': top-1 {simple.top1:.3f}, "
        f"log loss {simple.log_loss:.3f}"
    )
    print(HEADING)
    for views, seen in (("views by ground", cases), ("views told", [told_views(c) for c in cases])):
        knowing = oracle_answers(seen) if truth is OWN else {}
        for label, (rsrp, pci) in EVIDENCE.items():
            found = answers(seen, rsrp=rsrp, pci=pci)
            best = score(knowing[label], serves) if knowing else None
            seeing = score(answers(seen, rsrp=rsrp, pci=pci, oracle=True), serves)
            by_chance = chance_error(found, np.random.default_rng(3))
            print(_row(f"{views}, {label}", score(found, serves), best, seeing, by_chance))


HEADING = (
    f"{'':30}|{'top-1':^24}|{'log loss':^34}|{'ECE':^18}\n"
    f"{'':30}|{'ours':>7}{'oracle':>8}{'seeing':>8} "
    f"|{'ours':>8}{'oracle':>8}{'ratio':>8}{'seeing':>9} |{'ours':>8}{'by chance':>10}"
)


def _row(label: str, ours: Score, best: Score | None, seeing: Score, by_chance: float) -> str:
    """One line of the table."""
    oracle = ("-", "-", "-")
    if best is not None:
        ratio = ours.log_loss / best.log_loss
        oracle = (f"{best.top1:.3f}", f"{best.log_loss:.3f}", f"{ratio:.3f}")
    return (
        f"{label:30}|{ours.top1:7.3f}{oracle[0]:>8}{seeing.top1:8.3f} "
        f"|{ours.log_loss:8.3f}{oracle[1]:>8}{oracle[2]:>8}{seeing.log_loss:9.3f} "
        f"|{ours.calibration_error:8.3f}{by_chance:10.3f}"
    )


def main(count: int = 1500) -> None:
    """Both tables on the streets that come with the program."""
    from surveyapp.exchange.formats import read_ground
    from surveyapp.resources import shipped

    ground = read_ground(shipped("sample_surveys", "helsinki_centre.osm.pbf"))
    for name, truth in (("The model's own parameters", OWN), ("Wrong parameters", WRONG)):
        world = World(ground, truth, np.random.default_rng(2025))
        print_scores(name, truth, world, count)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1500)
