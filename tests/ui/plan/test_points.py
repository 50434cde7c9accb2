"""The dots of thousands of stops: as many as a scale can show, and none that matters missing."""

from __future__ import annotations

import numpy as np
import pytest

from surveyapp.ui.plan.levels import NO_LEVEL
from surveyapp.ui.plan.points import Points
from surveyapp.ui.plan.viewport import Viewport

CELL_PX = 6.0


def strewn(count: int) -> Points:
    """Points over two kilometres, every second one without a level."""
    random = np.random.default_rng(5)
    step = np.where(np.arange(count) % 2, 4, NO_LEVEL)
    return Points(random.uniform(-1000.0, 1000.0, (count, 2)), step)


@pytest.mark.parametrize("px_per_m", [0.15, 1.0, 8.0])
def test_each_dot_in_sight_is_shown_or_covered_by_one_as_good(px_per_m: float) -> None:
    """Within a cell's diagonal of each point seen stands a dot, measured where the point is."""
    points, viewport = strewn(20_000), Viewport(360, 600, 0.0, 0.0, px_per_m)
    shown = points.seen(viewport, CELL_PX)
    west, south, east, north = viewport.box_m
    inside = ((points.at_m >= (west, south)) & (points.at_m <= (east, north))).all(axis=1)
    reach_m = CELL_PX * 2**0.5 / px_per_m

    for index in np.flatnonzero(inside)[:400]:
        apart = np.hypot(*(points.at_m[shown] - points.at_m[index]).T)
        near = shown[apart <= reach_m]
        assert len(near)
        assert points.step[near].max() >= points.step[index]
    assert len(shown) <= (2 * 360 / CELL_PX + 2) * (2 * 600 / CELL_PX + 2)


def test_close_by_every_stop_has_its_dot() -> None:
    """At street scale nothing is left out."""
    points, viewport = strewn(200), Viewport(4000, 4000, 0.0, 0.0, 2.0)
    assert len(points.seen(viewport, CELL_PX)) >= 198
