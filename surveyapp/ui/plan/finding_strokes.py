"""What was worked out, as strokes: outlines by their dashes, ways, gaps, corners of a stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from surveyapp.ui.plan.findings import CheckedPlace, Finding, LineKind, StandMark
from surveyapp.ui.plan.ink import Ink
from surveyapp.ui.plan.strokes import Pen, Strokes, ring_px

STAND_DP = 15.0
CORNER_DP = 7.0
CHECKED_DP = 19.0


def pen_of(kind: LineKind, dp: float) -> Pen:
    """Heavier the likelier cover is; broken beyond the readings; double strength for a gap."""
    return {
        LineKind.LIKELY: Pen(3.2 * dp),
        LineKind.EVEN: Pen(2.2 * dp),
        LineKind.UNLIKELY: Pen(1.3 * dp),
        LineKind.WAY: Pen(2.4 * dp),
        LineKind.GAP: Pen(6.0 * dp, dash_px=(5 * dp, 9 * dp)),
    }[kind]


def finding_inks(finding: Finding, dp: float) -> Iterable[Ink]:
    """A pale edge below each line, so that it stands off the streets."""
    pale, dark = Strokes(), Strokes()
    for line in finding.lines:
        pen = pen_of(line.kind, dp)
        if line.broken:
            pen = replace(pen, dash_px=(4 * dp, 8 * dp))
        pale.line(line.points_m, Pen(pen.width_px + 2.4 * dp))
        dark.line(line.points_m, pen)
    for checked in finding.checked:
        _draw_checked(pale, dark, checked, dp)
    for stand in finding.stands:
        _draw_stand(pale, dark, stand, dp)
    yield Ink("raised", pale, 0.9)
    yield Ink("ink", dark)


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
