"""Lines that were worked out: dashes against shapely, smooth chances against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter1d
from shapely.geometry import LineString, Point

from surveyapp.ui.plan.cover_questions import smoothed
from surveyapp.ui.plan.finding_strokes import dashes

corners = st.lists(
    st.tuples(st.floats(-100, 100), st.floats(-100, 100)), min_size=2, max_size=6, unique=True
)


@given(corners, st.floats(1.0, 20.0), st.floats(1.0, 20.0))
def test_dashes_lie_on_their_line_at_even_steps(
    points: list[tuple[float, float]], on_m: float, off_m: float
) -> None:
    """Each begins where shapely finds that length along the line, and is as long as asked."""
    line = LineString(points)
    if line.length < 1.0:
        return
    for nth, part in enumerate(dashes(np.array(points), on_m, off_m)):
        start_m = nth * (on_m + off_m)
        assert Point(part[0]).distance(line.interpolate(start_m)) < 1e-6
        assert LineString(part).length == pytest.approx(min(on_m, line.length - start_m), abs=1e-6)


def test_chances_are_smoothed_as_scipy_smooths() -> None:
    """A normal weight of 1.5 cells cut at three, edges carried on."""
    chance = np.random.default_rng(4).uniform(0.0, 1.0, (40, 30))
    options = {"sigma": 1.5, "mode": "nearest", "radius": 4}
    wanted = gaussian_filter1d(gaussian_filter1d(chance, axis=1, **options), axis=0, **options)

    assert smoothed(chance, 1.5) == pytest.approx(wanted, abs=1e-9)
