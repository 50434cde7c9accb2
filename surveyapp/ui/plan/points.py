"""All stops as dots: where they lie, in which colour, and which of them a scale can show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.ui.plan.ink import Ink
from surveyapp.ui.plan.levels import CIVIDIS, steps_of
from surveyapp.ui.plan.marks import PlanMarks
from surveyapp.ui.plan.strokes import Strokes
from surveyapp.ui.plan.viewport import Viewport

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

DOT_DP = 4.5
CELL_DP = 6.0  # of dots that would cover each other within it, one is drawn
AROUND = 0.5  # of a window on each side, so that a push finds dots there


@dataclass(frozen=True, slots=True)
class Points:
    """Places (n, 2) of the stops and the steps (n) of their colours."""

    at_m: FloatArray
    step: IntArray

    @classmethod
    def of(cls, marks: PlanMarks) -> Points:
        """The points of all stops."""
        return cls(marks.stops.at_m, steps_of(marks.stops.level_dbm))

    def seen(self, viewport: Viewport, cell_px: float) -> IntArray:
        """Indexes of those about the window, one at most in each cell, measured ones first."""
        west, south, east, north = viewport.box_m
        wide, high = AROUND * (east - west), AROUND * (north - south)
        low, top = (west - wide, south - high), (east + wide, north + high)
        inside = np.flatnonzero(((self.at_m >= low) & (self.at_m <= top)).all(axis=1))
        inside = inside[np.argsort(-self.step[inside], kind="stable")]
        cells = np.floor(self.at_m[inside] * (viewport.px_per_m / cell_px)).astype(np.int64)
        _, first = np.unique(cells[:, 0] * 2**32 + cells[:, 1], return_index=True)
        return np.asarray(inside[first], dtype=np.intp)


def point_inks(points: Points, viewport: Viewport, dp: float) -> Iterable[Ink]:
    """The dots that this scale can show, in the colour of their level where they have one."""
    shown = points.seen(viewport, CELL_DP * dp)
    edge = Strokes()
    edge.dots(points.at_m[shown], (DOT_DP + 1.2) * dp)
    yield Ink("ink", edge)
    for step, colour in enumerate(CIVIDIS):
        fill = Strokes()
        fill.dots(points.at_m[shown[points.step[shown] == step]], DOT_DP * dp)
        yield Ink(colour, fill)
