"""What was worked out, as strokes: outlines of cover, ways, gaps, corners of a stand.

An outline of cover is a doubled line, so that no sighting is taken for it, broken or not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from surveyapp.ui.plan.findings import CheckedPlace, Finding, FloatArray, LineKind, StandMark
from surveyapp.ui.plan.ink import Ink, Sizes
from surveyapp.ui.plan.strokes import Pen, Strokes, ring_px

STAND_DP = 15.0
CORNER_DP = 7.0
CHECKED_DP = 19.0
CORE_DP = 1.7  # of a doubled line, between its two strokes
COVER = frozenset({LineKind.LIKELY, LineKind.EVEN, LineKind.UNLIKELY})


def pen_of(kind: LineKind, dp: float) -> Pen:
    """Heavier the likelier cover is; heaviest for a gap."""
    width_dp = {
        LineKind.LIKELY: 6.0,
        LineKind.EVEN: 4.7,
        LineKind.UNLIKELY: 3.7,
        LineKind.WAY: 2.4,
        LineKind.GAP: 6.0,
    }[kind]
    return Pen(width_dp * dp)


def finding_inks(finding: Finding, sizes: Sizes) -> Iterable[Ink]:
    """A pale edge below each line, so that it stands off the streets."""
    pale, dark, core = Strokes(), Strokes(), Strokes()
    dp = sizes.dp
    for line in finding.lines:
        pen = pen_of(line.kind, dp)
        is_gap = line.kind is LineKind.GAP
        pale.line(line.points_m, Pen(pen.width_px + 2.4 * dp))
        if line.kind in COVER:
            core.line(line.points_m, Pen(CORE_DP * dp))
        if line.broken or is_gap:
            on_px, off_px = (3.0 * dp, 9.0 * dp) if is_gap else (11.0 * dp, 5.0 * dp + pen.width_px)
            scale = sizes.px_per_m
            for part in dashes(line.points_m, on_px / scale, off_px / scale):
                dark.line(part, pen)
        else:
            dark.line(line.points_m, pen)
    for checked in finding.checked:
        _draw_checked(pale, dark, checked, dp)
    for stand in finding.stands:
        _draw_stand(pale, dark, stand, dp)
    yield Ink("raised", pale, 0.9)
    yield Ink("ink", dark)
    yield Ink("raised", core)


def dashes(points_m: FloatArray, on_m: float, off_m: float) -> Iterator[FloatArray]:
    """A polyline cut into dashes of `on_m` with `off_m` between, round its corners."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points_m, axis=0).T))])
    for start in np.arange(0.0, along[-1], on_m + off_m):
        end = min(start + on_m, along[-1])
        inside = along[(along > start) & (along < end)]
        at = np.array([start, *inside, end])
        yield np.column_stack([np.interp(at, along, axis) for axis in points_m.T])


def _draw_checked(pale: Strokes, dark: Strokes, checked: CheckedPlace, dp: float) -> None:
    """A ring around a measured stop: whole where the level was reached, broken where not."""
    dash = (0.0, 0.0) if checked.covered else (4 * dp, 9 * dp)
    ring = ring_px(CHECKED_DP * dp)
    pale.shape(checked.at, ring, Pen(4.5 * dp))
    dark.shape(checked.at, ring, Pen(2.2 * dp, dash_px=dash))


def _draw_stand(pale: Strokes, dark: Strokes, stand: StandMark, dp: float) -> None:
    """Four corners around the place where to stand."""
    reach, arm = STAND_DP * dp, CORNER_DP * dp
    pale.dots(stand.at, reach * 1.25)
    for x, y in ((-1, -1), (-1, 1), (1, 1), (1, -1)):
        corner = np.array([(x * reach, y * (reach - arm)), (x * reach, y * reach),
                           (x * (reach - arm), y * reach)])  # fmt: skip
        dark.shape(stand.at, corner, Pen(2.4 * dp))
