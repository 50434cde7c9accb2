"""The serving answer scored on a small invented town, as the benchmark does on real streets.

`python -m tests.benchmarks.serving_scores` prints the full tables.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from surveyapp.geometry.plan_projection import Plane
from surveyapp.model import Building, Furniture, FurnitureKind, Ground, LatLon, Street
from tests.benchmarks.serving_cases import OWN, WRONG, Case
from tests.benchmarks.serving_oracle import drawn_levels, weighed
from tests.benchmarks.serving_scores import EVIDENCE, answers, baseline, score
from tests.benchmarks.serving_world import World

BLOCK_M, STREET_M, BLOCKS = 70.0, 16.0, 7
STOPS = 80
DRAWS = 1500
PLANE = Plane(60.17, 24.94)


def places(east_m: list[float], north_m: list[float]) -> tuple[LatLon, ...]:
    """Positions of points in metres."""
    lat, lon = PLANE.to_world(east_m, north_m)
    return tuple(zip(lat.tolist(), lon.tolist(), strict=True))


def invented_town() -> Ground:
    """Square blocks of three-storey houses, streets between, lamps at corners and midways."""
    pitch = BLOCK_M + STREET_M
    reach = [pitch * i for i in range(BLOCKS + 1)]
    streets, lamps, houses = [], [], []
    for here in reach:
        streets.append(Street(points_deg=places([0.0, reach[-1]], [here, here])))
        streets.append(Street(points_deg=places([here, here], [0.0, reach[-1]])))
        for there in reach:
            lamps += places([here + 6.0, here + 6.0], [there + 6.0, there + pitch / 2])
    for west in reach[:-1]:
        for south in reach[:-1]:
            w, s = west + STREET_M / 2, south + STREET_M / 2
            e, n = w + BLOCK_M, s + BLOCK_M
            ring = places([w, e, e, w, w], [s, s, n, n, s])
            houses.append(Building(outline_deg=ring, height_m=11.0))
    posts = [Furniture(kind=FurnitureKind.LAMP, lat_deg=a, lon_deg=b) for a, b in lamps]
    return Ground(streets=tuple(streets), buildings=tuple(houses), furniture=tuple(posts))


@cache
def own_cases() -> tuple[Case, ...]:
    """Stops of a town that follows the model's own parameters."""
    return tuple(World(invented_town(), OWN, np.random.default_rng(4)).cases(STOPS))


@cache
def drawn() -> tuple[np.ndarray, ...]:
    """Worlds drawn for each of those stops."""
    return tuple(drawn_levels(case, np.random.default_rng(7), DRAWS) for case in own_cases())


@pytest.mark.parametrize("evidence", EVIDENCE)
def test_no_one_with_the_same_notebook_answers_better(evidence: str) -> None:
    """Log loss at most 1.05 times that of brute force with the true parameters."""
    rsrp, pci = EVIDENCE[evidence]
    cases = own_cases()
    serves = [case.serves for case in cases]

    ours = score(answers(cases, rsrp=rsrp, pci=pci), serves)
    oracle = score(
        [weighed(d, c, rsrp=rsrp, pci=pci) for d, c in zip(drawn(), cases, strict=True)], serves
    )

    assert ours.log_loss <= 1.05 * oracle.log_loss + 0.01


def test_stated_confidence_is_met_and_beats_the_baseline() -> None:
    """Right answers are as many as promised, within three standard errors."""
    cases = own_cases()
    found = answers(cases, rsrp=True, pci=False)
    confidence = np.array([p.max() for p in found])
    right = np.array([p.argmax() == c.serves for p, c in zip(found, cases, strict=True)])

    error = np.sqrt(np.sum(confidence * (1.0 - confidence))) / len(cases)

    assert abs(right.mean() - confidence.mean()) <= 3.0 * error
    assert right.mean() > baseline(cases).top1


def test_with_wrong_parameters_it_still_beats_the_nearest_site() -> None:
    """Beamwidth, EIRP, sigma and azimuths wrong and a site missing: top-1 stays above."""
    cases = list(World(invented_town(), WRONG, np.random.default_rng(5)).cases(STOPS))

    ours = score(answers(cases, rsrp=False, pci=False), [case.serves for case in cases])

    assert ours.top1 >= baseline(cases).top1
