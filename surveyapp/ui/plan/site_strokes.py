"""Sites and their panels as strokes: a diamond, boresights, and beams hatched by operator.

A site is a diamond: filled when on air, open when only seen, broken when a lead, barred when
dark, crossed when gone. Each panel is a line along its boresight that ends in an arc as wide
as its beam; the arc carries the hatch of the site's operator.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import radians

import numpy as np
from numpy.typing import NDArray

from surveyapp.model import SiteKind, SiteStatus
from surveyapp.ui.plan.ink import Ink, Sizes
from surveyapp.ui.plan.marks import Place, SiteMark, boresight
from surveyapp.ui.plan.strokes import Pen, Strokes, arc_px, diamond_px

SITE_DP = 11.0
HATCH_DP = 5.0  # depth of a hatched arc
PITCH_DP = 6.0  # from one stroke of the hatch to the next
HATCHES = 6


def sector_inks(
    sites: Iterable[SiteMark], hatches: Mapping[str, int], sizes: Sizes
) -> Iterable[Ink]:
    """Each boresight twice: a pale edge first, so that it stands off the streets below."""
    dp, reach = sizes.dp, sizes.boresight_px
    pale, dark = Strokes(), Strokes()
    for site in sites:
        for sector in site.sectors:
            azimuth_deg, beamwidth_deg = boresight(sector)
            tip = reach * _towards(np.array([azimuth_deg]))[0]
            half_deg = min(beamwidth_deg, 359.0) / 2
            beam = (azimuth_deg - half_deg, azimuth_deg + half_deg)
            for strokes, more in ((pale, 3.0 * dp), (dark, 0.0)):
                strokes.shape(site.at, [(0.0, 0.0), tip], Pen(2.0 * dp + more))
                strokes.shape(site.at, arc_px(reach, *beam), Pen(2.0 * dp + more))
            if site.site.operator in hatches:
                _hatch(dark, site.at, reach, beam, hatches[site.site.operator], dp)
    yield Ink("raised", pale)
    yield Ink("accent", dark)


def site_inks(sites: Iterable[SiteMark], sizes: Sizes) -> Iterable[Ink]:
    """The diamonds, each on a paler one."""
    halo, body = Strokes(), Strokes()
    for mark in sites:
        _fill_diamond(halo, mark, SITE_DP * sizes.dp + 2.5 * sizes.dp, sizes.dp)
        if mark.site.kind is not SiteKind.LANDMARK:
            _draw_site(body, mark, sizes.dp)
    yield Ink("raised", halo)
    yield Ink("accent", body)


def _hatch(
    strokes: Strokes, at: Place, reach_px: float, beam: tuple[float, float], number: int, dp: float
) -> None:
    """Fill the inside of an arc: spokes, slants either way, beads, a second arc, crossed slants."""
    inner_px = reach_px - HATCH_DP * dp
    kind = number % HATCHES
    if kind == 4:
        strokes.shape(at, arc_px(inner_px, *beam), Pen(1.4 * dp))
        return
    count = max(2, int(radians(beam[1] - beam[0]) * reach_px / (PITCH_DP * dp)))
    turns = np.linspace(*beam, count + 1)
    if kind == 3:
        middle = (reach_px - 0.8 * HATCH_DP * dp) * _towards(turns)
        strokes.lines(at, at, Pen(2.6 * dp), middle, middle)
        return
    slant_deg = np.degrees(HATCH_DP * dp / reach_px)
    for turn_deg in {0: (0.0,), 1: (slant_deg,), 2: (-slant_deg,), 5: (slant_deg, -slant_deg)}[
        kind
    ]:
        inner, outer = inner_px * _towards(turns + turn_deg), reach_px * _towards(turns)
        strokes.lines(at, at, Pen(1.3 * dp), inner, outer)


def _towards(azimuth_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vectors (k, 2) of azimuths."""
    turn = np.radians(azimuth_deg)
    return np.column_stack([np.sin(turn), np.cos(turn)])


def landmark_ink(sites: Iterable[SiteMark], sizes: Sizes) -> Ink:
    """A landmark is a hollow triangle with a foot: no node, so in ink and smaller."""
    strokes, dp = Strokes(), sizes.dp
    for mark in sites:
        if mark.site.kind is SiteKind.LANDMARK:
            outline = [(-6.0, -4.0), (6.0, -4.0), (0.0, 8.0), (-6.0, -4.0)]
            strokes.shape(mark.at, np.array(outline) * dp, Pen(1.8 * dp))
            strokes.shape(mark.at, np.array([(-9.0, -7.5), (9.0, -7.5)]) * dp, Pen(1.8 * dp))
    return Ink("ink", strokes)


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
