"""Levels of many links at once, and what explains them, against simulation."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from surveyapp.analysis.levels import TURNED_PRIOR, Links, levels
from surveyapp.errors import OutOfRange
from surveyapp.radio.antenna import pattern_db
from tests.benchmarks.expectation_speed import bare_loop, links

DRAWS = 400_000
WITHIN_DB = 1.0  # of the level read, for a draw to count
THREE_PER_CENT = 0.03
A_MILLIONTH = 1e-6


def one_link(measured_dbm: float, off_deg: float = 70.0) -> Links:
    """A link at 120 m, half likely to be in sight."""
    row = links(1)
    return replace(
        row,
        distance_m=np.array([120.0]),
        off_deg=np.array([off_deg]),
        los_probability=np.array([0.5]),
        measured_dbm=np.array([measured_dbm]),
    )


def simulated(link: Links) -> tuple[float, float]:
    """Shares of blocked and of turned among draws that come out at the level read."""
    rng = np.random.default_rng(11)
    found = levels(link)
    blocked = rng.random(DRAWS) < 0.5
    turned = rng.random(DRAWS) < TURNED_PRIOR
    peak = np.where(blocked, *(float(found.level_dbm[k, 0] - found.gain_db[0]) for k in (1, 0)))
    elsewhere = rng.uniform(-180.0, 180.0, DRAWS)
    down = math.degrees(math.atan2(6.5, 120.0))
    off = np.where(turned, elsewhere, float(link.off_deg[0]))
    sigma = np.where(blocked, *(float(found.sigma_db[k, 0]) for k in (1, 0)))
    level = peak + pattern_db(off, 5.0 - down) + sigma * rng.standard_normal(DRAWS)
    kept = np.abs(level - float(link.measured_dbm[0])) < WITHIN_DB
    assert kept.sum() > 1000
    return float(blocked[kept].mean()), float(turned[kept].mean())


@pytest.mark.parametrize("measured_dbm", [-76.0, -85.0, -95.0, -115.0])
def test_explanations_agree_with_simulation(measured_dbm: float) -> None:
    """Of draws that give the level read, as many are blocked and turned as we say."""
    link = one_link(measured_dbm)
    found = levels(link)
    blocked, turned = simulated(link)

    assert float(found.blocked[0]) == pytest.approx(blocked, abs=THREE_PER_CENT)
    assert float(found.turned[0]) == pytest.approx(turned, abs=THREE_PER_CENT)


def test_levels_follow_the_formulas_of_the_standard() -> None:
    """TR 38.901 tables 7.3-1 and 7.4.1-1 written out again in a plain loop, 300 links."""
    given = links(300)
    found = levels(given)
    for row, (mean, spread, _) in enumerate(bare_loop(given)):
        assert found.mean_dbm[row] == pytest.approx(mean, abs=A_MILLIONTH)
        assert found.spread_db[row] == pytest.approx(spread, abs=A_MILLIONTH)


def test_without_a_reading_the_explanations_are_as_before() -> None:
    """Nothing measured leaves the chances as they were."""
    found = levels(one_link(math.nan))

    assert float(found.blocked[0]) == 0.5
    assert float(found.turned[0]) == TURNED_PRIOR


def test_a_panel_of_unknown_azimuth_is_never_turned_otherwise() -> None:
    """What was not noted cannot be noted wrong; its gain is the mean all round."""
    found = levels(one_link(-90.0, math.nan))

    assert float(found.turned[0]) == 0.0
    assert -22.0 < float(found.gain_db[0]) < -12.0


def test_a_distance_beyond_the_model_is_refused() -> None:
    """TR 38.901 ends at 5 km."""
    with pytest.raises(OutOfRange, match="6000 m is outside"):
        levels(replace(one_link(-90.0), distance_m=np.array([6000.0])))
