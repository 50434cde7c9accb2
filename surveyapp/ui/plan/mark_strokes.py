"""Our marks as strokes: sites, numbered circles for stops, levels, lines for directions.

A stop is a circle with its number; one whose place is taken stands aside, led there by a
line. Of many that would cover each other one circle stands on another, told by the latest.
What was read there is a bar in the colour of its level with the number beside it. A sighting
is a line from its stop, broken where the view was not clear. A photo is a square with a line
the way it looks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, radians, sin

import numpy as np

from surveyapp.ui.plan.ink import Ink, Sizes
from surveyapp.ui.plan.levels import CIVIDIS, step_of
from surveyapp.ui.plan.marks import PhotoMark, Place, PlanMarks, RayMark, seen_clearly
from surveyapp.ui.plan.site_strokes import landmark_ink, sector_inks, site_inks
from surveyapp.ui.plan.strokes import Pen, Strokes, ring_px, square_px
from surveyapp.ui.plan.words import MarkWords

PHOTO_DP = 5.5
PHOTO_RAY_DP = 30.0
LEVEL_DP = (7.0, 12.0)  # half length and thickness of a level's bar


def mark_inks(
    marks: PlanMarks, sizes: Sizes, words: MarkWords, current_stop_id: str = ""
) -> Iterable[Ink]:
    """Everything over the ground and the dots, from the lowest ink to the uppermost."""
    yield _fix_ink(marks, sizes)
    yield _ray_ink(marks.rays, sizes)
    yield from _photo_inks(marks.photos, sizes)
    yield from sector_inks(marks.sites, marks.hatches, sizes)
    yield from _level_inks(words, sizes)
    yield from _stop_inks(words, sizes, current_stop_id)
    yield from site_inks(marks.sites, sizes)
    yield landmark_ink(marks.sites, sizes)


def pointer_inks(cross: Sequence[float], line: Sequence[Place], dp: float) -> Iterable[Ink]:
    """A cross with an open middle at a place, and a measured line with its two ends."""
    pale, dark = Strokes(), Strokes()
    for strokes, more in ((pale, 3.5 * dp), (dark, 0.0)):
        pen = Pen(2.2 * dp + more)
        if cross:
            for x, y in ((0, 1), (1, 0), (0, -1), (-1, 0)):
                arm = np.array([(x, y)]) * dp
                strokes.lines(cross, cross, pen, 5 * arm, 17 * arm)
        strokes.line(line, pen)
        for end in line:
            strokes.shape(end, ring_px(6 * dp), pen)
    yield Ink("raised", pale)
    yield Ink("ink", dark)


def _fix_ink(marks: PlanMarks, sizes: Sizes) -> Ink:
    strokes = Strokes()
    for fix in marks.fixes:
        strokes.line(fix.ring_m, Pen(1.8 * sizes.dp))
        arm = 6 * sizes.dp
        strokes.shape(fix.at, [(-arm, 0), (arm, 0)], Pen(1.8 * sizes.dp))
        strokes.shape(fix.at, [(0, -arm), (0, arm)], Pen(1.8 * sizes.dp))
    return Ink("accent", strokes)


def _ray_ink(rays: Iterable[RayMark], sizes: Sizes) -> Ink:
    strokes = Strokes()
    dp = sizes.dp
    for ray in rays:
        broken = (0.0, 0.0) if seen_clearly(ray) else (7 * dp, 12 * dp)
        pen = Pen(1.2 * dp, dash_px=broken if ray.ends_somewhere else (2 * dp, 7 * dp))
        strokes.line([ray.start, ray.end], pen)
    return Ink("ink", strokes)


def _photo_inks(photos: Iterable[PhotoMark], sizes: Sizes) -> Iterable[Ink]:
    dp = sizes.dp
    under, over = Strokes(), Strokes()
    for photo in photos:
        if photo.direction_deg is not None:
            turn = radians(photo.direction_deg)
            tip = (PHOTO_RAY_DP * dp * sin(turn), PHOTO_RAY_DP * dp * cos(turn))
            over.shape(photo.at, [(0.0, 0.0), tip], Pen(1.5 * dp))
        under.dots(photo.at, PHOTO_DP * dp * 1.2)
        over.shape(photo.at, square_px(PHOTO_DP * dp), Pen(1.5 * dp))
        over.dots(photo.at, 1.5 * dp)
    yield Ink("raised", under)
    yield Ink("ink", over)


def _level_inks(words: MarkWords, sizes: Sizes) -> Iterable[Ink]:
    """A bar beside each number of dBm; its dark edge tells it from the paper in both themes.

    Below each value is clear ground: a line through a minus sign would make it another sign.
    """
    half, thick = (size * sizes.dp for size in LEVEL_DP)
    plates, edge = Strokes(), Strokes()
    for at, box in words.plates:
        reach = max(box.width_px - box.height_px, 0.0) / 2 + 2.0 * sizes.dp
        ends = [(box.x_px - reach, box.y_px), (box.x_px + reach, box.y_px)]
        plates.shape(at, ends, Pen(box.height_px))
    yield Ink("raised", plates)
    fills: dict[int, Strokes] = {}
    for stop, (x, y) in words.bars:
        fill = fills.setdefault(step_of(stop.level.rsrp_dbm), Strokes())
        for strokes, width in ((edge, thick + 2.4 * sizes.dp), (fill, thick)):
            strokes.shape(stop.at, [(x - half, y), (x + half, y)], Pen(width))
    yield Ink("ink", edge)
    for step in sorted(fills):
        yield Ink(CIVIDIS[step], fills[step])


def _stop_inks(words: MarkWords, sizes: Sizes, current_stop_id: str) -> Iterable[Ink]:
    paper, edge, current = Strokes(), Strokes(), Strokes()
    stacked_paper, stacked_edge = Strokes(), Strokes()
    radius_px, dp = sizes.stop_px, sizes.dp
    for mark in words.numbered:
        off = np.array([words.aside.get(mark.stop.id, (0.0, 0.0))])
        if off.any():
            stacked_paper.lines(mark.at, mark.at, Pen(4.0 * dp), (0.0, 0.0), off)
            stacked_edge.lines(mark.at, mark.at, Pen(1.6 * dp), (0.0, 0.0), off)
        if words.clusters.get(mark.stop.id):
            shift = off + np.array([(3.5, 3.5)]) * dp
            stacked_paper.lines(mark.at, mark.at, Pen(2 * radius_px), shift, shift)
            stacked_edge.shape(mark.at, ring_px(radius_px) + shift, Pen(1.6 * dp))
        is_current = mark.stop.id == current_stop_id
        room = radius_px + (3.5 * dp if is_current else 0.0)
        paper.lines(mark.at, mark.at, Pen(2 * room), off, off)
        if is_current:
            current.lines(mark.at, mark.at, Pen(2 * radius_px), off, off)
            current.shape(mark.at, ring_px(radius_px + 3.0 * dp) + off, Pen(1.5 * dp))
        else:
            edge.shape(mark.at, ring_px(radius_px) + off, Pen(1.6 * dp))
    yield Ink("raised", stacked_paper)
    yield Ink("ink", stacked_edge)
    yield Ink("raised", paper)
    yield Ink("ink", edge)
    yield Ink("accent", current)
