"""Our marks as strokes: diamonds for sites, numbered circles for stops, lines for directions.

A site is a diamond: filled when on air, open when only seen, broken when a lead, barred when
dark, crossed when gone. Each panel is a line along its boresight that ends in an arc as wide
as its beam. A stop is a circle. A sighting is a line from its stop, broken where the view
was not clear. A photo is a square with a line the way it looks.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from surveyapp.model import SiteStatus
from surveyapp.ui.plan.marks import (
    PhotoMark,
    Place,
    PlanMarks,
    RayMark,
    SiteMark,
    boresight,
    seen_clearly,
)
from surveyapp.ui.plan.strokes import Pen, Strokes, arc_px, diamond_px, ring_px, square_px

SITE_DP = 11.0
BORESIGHT_M = 70.0  # on the plan a panel's line is so long, within these limits
BORESIGHT_DP = (17.0, 54.0)
PHOTO_DP = 5.5
PHOTO_RAY_DP = 30.0
STOP_SP = 13.0
DOT_DP = 4.5


@dataclass(frozen=True, slots=True)
class Ink:
    """Strokes in one colour of the theme."""

    role: str
    strokes: Strokes
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """Pixels per dp, per sp and per metre, as screen, text size and scale have them."""

    dp: float = 1.0
    sp: float = 1.0
    px_per_m: float = 1.0

    @property
    def boresight_px(self) -> float:
        """Length of a panel's line."""
        least, most = (limit * self.dp for limit in BORESIGHT_DP)
        return min(max(BORESIGHT_M * self.px_per_m, least), most)

    @property
    def stop_px(self) -> float:
        """Radius of a numbered circle."""
        return STOP_SP * self.sp


def mark_inks(
    marks: PlanMarks, sizes: Sizes, numbered: Collection[str], current_stop_id: str = ""
) -> Iterable[Ink]:
    """Everything over the ground, from the lowest ink to the uppermost.

    `numbered` are the ids of stops drawn large enough for their number.
    """
    yield _fix_ink(marks, sizes)
    yield _ray_ink(marks.rays, sizes)
    yield from _photo_inks(marks.photos, sizes)
    yield from _sector_inks(marks.sites, sizes)
    yield from _stop_inks(marks, sizes, numbered, current_stop_id)
    yield from _site_inks(marks.sites, sizes)


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


def _sector_inks(sites: Iterable[SiteMark], sizes: Sizes) -> Iterable[Ink]:
    """Each boresight twice: a pale edge first, so that it stands off the streets below."""
    dp, reach = sizes.dp, sizes.boresight_px
    pale, dark = Strokes(), Strokes()
    for site in sites:
        for sector in site.sectors:
            azimuth_deg, beamwidth_deg = boresight(sector)
            turn = radians(azimuth_deg)
            tip = reach * np.array([sin(turn), cos(turn)])
            half_deg = min(beamwidth_deg, 359.0) / 2
            arc = arc_px(reach, azimuth_deg - half_deg, azimuth_deg + half_deg)
            for strokes, more in ((pale, 3.0 * dp), (dark, 0.0)):
                strokes.shape(site.at, [(0.0, 0.0), tip], Pen(2.2 * dp + more))
                strokes.shape(site.at, arc, Pen(2.2 * dp + more))
    yield Ink("raised", pale)
    yield Ink("accent", dark)


def _stop_inks(
    marks: PlanMarks, sizes: Sizes, numbered: Collection[str], current_stop_id: str
) -> Iterable[Ink]:
    dots, paper, edge, current = Strokes(), Strokes(), Strokes(), Strokes()
    for mark in marks.stops:
        is_current = mark.stop.id == current_stop_id
        if mark.stop.id not in numbered:
            dots.dots(mark.at, DOT_DP * sizes.dp)
        elif is_current:
            paper.dots(mark.at, sizes.stop_px + 3.5 * sizes.dp)
            current.dots(mark.at, sizes.stop_px)
            current.shape(mark.at, ring_px(sizes.stop_px + 3.0 * sizes.dp), Pen(1.5 * sizes.dp))
        else:
            paper.dots(mark.at, sizes.stop_px)
            edge.shape(mark.at, ring_px(sizes.stop_px), Pen(1.6 * sizes.dp))
    yield Ink("ink", dots)
    yield Ink("raised", paper)
    yield Ink("ink", edge)
    yield Ink("accent", current)


def _site_inks(sites: Iterable[SiteMark], sizes: Sizes) -> Iterable[Ink]:
    halo, body = Strokes(), Strokes()
    for mark in sites:
        _fill_diamond(halo, mark, SITE_DP * sizes.dp + 2.5 * sizes.dp, sizes.dp)
        _draw_site(body, mark, sizes.dp)
    yield Ink("raised", halo)
    yield Ink("accent", body)


def _draw_site(strokes: Strokes, mark: SiteMark, dp: float) -> None:
    reach = SITE_DP * dp
    status = mark.site.status
    if status is SiteStatus.LIVE:
        _fill_diamond(strokes, mark, reach, dp)
        return
    dash = (5 * dp, 9 * dp) if status is SiteStatus.LEAD else (0.0, 0.0)
    strokes.shape(mark.at, diamond_px(reach - dp), Pen(2.2 * dp, dash_px=dash))
    if status is SiteStatus.SEEN:
        strokes.dots(mark.at, 3.0 * dp)
    arm = reach * 0.5
    if status in (SiteStatus.DARK, SiteStatus.GONE):
        strokes.shape(mark.at, [(-arm, -arm), (arm, arm)], Pen(2.2 * dp))
    if status is SiteStatus.GONE:
        strokes.shape(mark.at, [(-arm, arm), (arm, -arm)], Pen(2.2 * dp))


def _fill_diamond(strokes: Strokes, mark: SiteMark, reach_px: float, dp: float) -> None:
    """A filled diamond, of diamonds within diamonds."""
    for inner_px in np.arange(reach_px - dp, 0.0, -1.5 * dp):
        strokes.shape(mark.at, diamond_px(inner_px), Pen(2.2 * dp))
    strokes.dots(mark.at, 1.5 * dp)
