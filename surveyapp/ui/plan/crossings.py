"""Lines that words keep off: sightings, boresights, the arcs of beams, worked-out lines."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box
from surveyapp.ui.plan.marks import PlanMarks, boresight
from surveyapp.ui.plan.strokes import arc_px
from surveyapp.ui.plan.viewport import Viewport

FloatArray = NDArray[np.float64]


class Crossings:
    """Straight pieces (n, 4) of the lines drawn, (x1, y1, x2, y2) in pixels of the window."""

    def __init__(self, pieces: FloatArray) -> None:
        self.pieces = pieces

    @classmethod
    def of(
        cls, marks: PlanMarks, viewport: Viewport, sizes: Sizes, lines_m: Iterable[FloatArray] = ()
    ) -> Crossings:
        """What is drawn of these marks and lines within the window."""
        found = [np.zeros((0, 4))]
        if marks.rays:
            ends = np.array([(*ray.start, *ray.end) for ray in marks.rays], float)
            found.append(_in_window(ends, viewport))
        for line in lines_m:
            found.append(_in_window(np.hstack([line[:-1], line[1:]]), viewport))
        reach = sizes.boresight_px
        for mark in marks.sites:
            at = np.array(viewport.to_window(*mark.at))
            for azimuth_deg, width_deg in filter(None, map(boresight, mark.sectors)):
                half_deg = min(width_deg, 359.0) / 2
                arc = at + arc_px(reach, azimuth_deg - half_deg, azimuth_deg + half_deg)
                tip = at + arc_px(reach, azimuth_deg, azimuth_deg)[:1]
                found.append(np.hstack([arc[:-1], arc[1:]]))
                found.append(np.hstack([at[None], tip]))
        pieces = np.vstack(found)
        low = np.minimum(pieces[:, :2], pieces[:, 2:])
        high = np.maximum(pieces[:, :2], pieces[:, 2:])
        seen = (high >= 0.0).all(axis=1) & (low <= (viewport.width_px, viewport.height_px)).all(1)
        return cls(pieces[seen])

    def meet(self, box: Box) -> bool:
        """Whether any line runs through an upright box (separating axes)."""
        if not len(self.pieces):
            return False
        half = np.array([box.width_px, box.height_px]) / 2
        start = self.pieces[:, :2] - (box.x_px, box.y_px)
        end = self.pieces[:, 2:] - (box.x_px, box.y_px)
        apart = (np.minimum(start, end) > half).any(axis=1)
        apart |= (np.maximum(start, end) < -half).any(axis=1)
        along = end - start
        off = np.abs(along[:, 0] * start[:, 1] - along[:, 1] * start[:, 0])
        apart |= off > np.abs(along[:, 1]) * half[0] + np.abs(along[:, 0]) * half[1]
        return bool((~apart).any())


def _in_window(ends_m: FloatArray, viewport: Viewport) -> FloatArray:
    return ends_m * viewport.px_per_m + np.tile(viewport.offset_px, 2)
