"""A panel's azimuth out of readings: against scipy's optimiser and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import optimize

from surveyapp.analysis.sector_fit import MeasuredPlace, offsets
from surveyapp.analysis.walk_azimuth import walk_azimuth
from surveyapp.errors import NoAnswer
from tests.analysis.walks import PANEL, places, turned, walk


def test_the_azimuth_agrees_with_scipys_optimiser() -> None:
    """Nelder-Mead over azimuth, intercept and n ends at the same azimuth."""
    measured = walk(np.random.default_rng(1), 16, spread_deg=180.0)
    ground, bearing = offsets(PANEL, measured)
    level = np.array([place.rsrp_dbm for place in measured])
    decades = -10.0 * np.log10(PANEL.slant_m(ground) / 10.0)

    def left(figures: np.ndarray) -> float:
        expected = figures[1] + figures[2] * decades + PANEL.gain_db(bearing - figures[0], ground)
        return float(np.sum((level - expected) ** 2))

    best = optimize.minimize(
        left, np.array([120.0, -55.0, 2.5]), method="Nelder-Mead",
        options={"xatol": 1e-4, "fatol": 1e-8, "maxiter": 4000},
    )  # fmt: skip
    found = walk_azimuth(turned(PANEL, None), measured)

    assert found.azimuth_deg == pytest.approx(best.x[0] % 360.0, abs=0.25)
    assert found.sigma_db == pytest.approx(np.sqrt(best.fun / 13), rel=0.01)
    assert found.interval_deg[0] < 130.0 < found.interval_deg[1]


def test_an_azimuth_near_north_has_an_interval_across_it() -> None:
    """0 and 360 are one direction."""
    panel = turned(PANEL, 1.0)
    found = walk_azimuth(panel, walk(np.random.default_rng(2), 20, panel=panel, spread_deg=180.0))

    assert found.interval_deg[0] > 300.0
    assert found.interval_deg[1] < 60.0


def test_readings_on_one_circle_are_enough() -> None:
    """At one distance n stays open, and the azimuth does not."""
    azimuth = np.radians(np.arange(0.0, 360.0, 30.0))
    east, north = 60.0 * np.sin(azimuth), 60.0 * np.cos(azimuth)
    gain = PANEL.ways_over(east, north).gain_db
    rough = np.random.default_rng(3).normal(0.0, 2.0, 12)
    found = walk_azimuth(PANEL, places(east, north, -70.0 + gain + rough))

    assert found.azimuth_deg == pytest.approx(130.0, abs=8.0)


@pytest.mark.parametrize(
    ("measured", "words"),
    [
        (walk(np.random.default_rng(4), 5), "5 places"),
        (walk(np.random.default_rng(4), 9, spread_deg=10.0), "degrees as seen"),
        (walk(np.random.default_rng(12), 7, spread_deg=180.0, sigma_db=40.0), "open"),
    ],
)
def test_too_little_is_refused_with_the_reason(measured: list[MeasuredPlace], words: str) -> None:
    """Too few places, all on one side, or readings that contradict each other."""
    with pytest.raises(NoAnswer, match=words):
        walk_azimuth(PANEL, measured)
