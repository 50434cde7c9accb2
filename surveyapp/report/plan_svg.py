"""The plan as a vector picture in our own signs, north up.

A site is a diamond: filled when on air, open when only seen, broken when a lead, barred when
dark, crossed when gone. Each panel is a line along its boresight that ends in an arc as wide
as its beam. A stop is a numbered circle, a sighting a line, broken where the view was not clear.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
from markupsafe import Markup

from surveyapp.model import SiteStatus
from surveyapp.report.plan import FloatArray, Panel, Plan, SiteMark
from surveyapp.report.plan_names import (
    Name,
    mark_rooms,
    place_names,
    place_site_names,
    room_of,
)
from surveyapp.report.svg import Point, element, group, path
from surveyapp.report.words import counted, listed

WIDTH = 760.0
DIAMOND = 8.0
STOP = 8.5
NAME_SIZE, SITE_SIZE = 10.0, 12.5
PHONE_SITE_SIZE, PHONE_STOP = 20.0, 12.5  # on a phone, where the picture is half as wide
FOOT = 44.0
BAR_STEPS_M = (20, 50, 100, 200, 500, 1000, 2000)
BAR_SHARE = 0.22  # of the width, at most


def plan_svg(plan: Plan, note: str = "") -> Markup:
    """The drawing with its scale, north and attribution; `note` joins the attribution."""
    draw = _Drawing(plan)
    height = plan.box.height_m * draw.scale
    parts = [
        element("title", "Plan of the survey, north up"),
        element("desc", describe(plan)),
        element("rect", class_="ground", x=0, y=0, width=WIDTH, height=round(height, 1)),
        group(draw.buildings(), class_="houses"),
        group(draw.streets(), class_="streets"),
        group(draw.rays(), class_="rays"),
        group(draw.panels(), class_="panels"),
        group(draw.street_names(), class_="street-names"),
        group(draw.stops(), class_="stops"),
        group(draw.sites(), class_="sites"),
        group(draw.names(SITE_SIZE, STOP), class_="sites names"),
        group(draw.names(PHONE_SITE_SIZE, PHONE_STOP), class_="sites names on-phone"),
        element("rect", class_="frame", x=0.5, y=0.5, width=WIDTH - 1, height=round(height - 1, 1)),
        group(draw.foot(height, note), class_="foot"),
    ]
    clip = element("clipPath", element("rect", x=0, y=0, width=WIDTH, height=round(height, 1)),
                   id="plan-edge")  # fmt: skip
    inside = group(parts[2:-1], clip_path="url(#plan-edge)")
    return element(
        "svg", Markup("").join([*parts[:2], clip, inside, parts[-1]]), class_="plan", role="img",
        preserveAspectRatio="xMinYMin meet",
        viewBox=f"0 0 {WIDTH:g} {height + FOOT:.1f}", aria_label=describe(plan),
    )  # fmt: skip


def describe(plan: Plan) -> str:
    """What the plan shows, in a sentence."""
    sites = [mark.site.name for mark in plan.sites]
    counts = ((len(plan.stops), "stop"), (len(plan.rays), "bearing"), (len(sites), "site"))
    held = listed(counted(count, word) for count, word in counts if count)
    return (
        f"A north-up plan, {plan.box.width_m:.0f} m by {plan.box.height_m:.0f} m, with {held}"
        f"{f': {listed(sites)}' if sites else ''}."
    )


def rose_svg(panels: Sequence[Panel], name: str) -> Markup:
    """A site's panels alone: boresights and beams about its diamond, in a square, north up.

    The panels are laid out about (0, 0), one unit long.
    """
    lines = [_turned(panel.boresight_m, 38.0) for panel in panels]
    arcs = [_turned(panel.arc_m, 38.0) for panel in panels]
    said = listed(
        f"{p.sector.label} to {round(p.sector.azimuth_deg or 0.0) % 360}°" for p in panels
    )
    parts = [
        element("path", class_="rule", d=path([[(50.0, 2.0), (50.0, 9.0)]])),
        element("path", class_="beam", d=path(lines) + path(arcs)),
        element("path", class_="site", d=path([_diamond(50.0, 50.0, 6.0)], closed=True)),
    ]
    parts += [_rose_label(panel) for panel in panels]
    return element(
        "svg", group(parts), class_="rose", role="img", viewBox="0 0 100 100",
        aria_label=f"Panels of {name}, north up: {said}",
    )  # fmt: skip


def _rose_label(panel: Panel) -> Markup:
    turn = math.radians(panel.sector.azimuth_deg or 0.0)
    x, y = 50.0 + 44.5 * math.sin(turn), 50.0 - 44.5 * math.cos(turn)
    return element("text", panel.sector.label, x=round(x, 1), y=round(y + 3.0, 1))


def _turned(points: FloatArray, reach: float) -> list[Point]:
    return [(50.0 + reach * x, 50.0 - reach * y) for x, y in points.tolist()]


def _diamond(x: float, y: float, reach: float) -> list[Point]:
    return [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]


class _Drawing:
    """One plan on its way to the picture."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.scale = WIDTH / plan.box.width_m

    def at(self, points_m: FloatArray | Sequence[tuple[float, float]]) -> list[Point]:
        """Points of the plane (k, 2) in units of the picture."""
        points = np.asarray(points_m, dtype=np.float64)
        box = self.plan.box
        x = (points[:, 0] - box.west_m) * self.scale
        y = (box.north_m - points[:, 1]) * self.scale
        return list(zip(x.tolist(), y.tolist(), strict=True))

    def spot(self, at_m: tuple[float, float]) -> Point:
        """One place in units of the picture."""
        return self.at([at_m])[0]

    def buildings(self) -> Iterable[Markup]:
        """All houses as one path; courts stay open."""
        rings = [self.at(ring) for house in self.plan.buildings for ring in house]
        yield element("path", d=path(rings, closed=True), fill_rule="evenodd")

    def streets(self) -> Iterable[Markup]:
        """Streets of one width as one path, the narrowest first."""
        for width in sorted({street.width_m for street in self.plan.streets}):
            lines = [self.at(s.points_m) for s in self.plan.streets if s.width_m == width]
            style = "street" if width > 2.0 else "way"
            wide = max(width * self.scale, 0.8)
            yield element("path", class_=style, d=path(lines), stroke_width=round(wide, 1))

    def rays(self) -> Iterable[Markup]:
        """Sightings as lines."""
        for clear in (True, False):
            lines = [self.at([r.from_m, r.to_m]) for r in self.plan.rays if r.clear is clear]
            if lines:
                yield element("path", class_=None if clear else "unclear", d=path(lines))

    def panels(self) -> Iterable[Markup]:
        """Boresights and beams, with a pale edge below so that they stand off the streets."""
        panels = [panel for mark in self.plan.sites for panel in mark.panels]
        lines = [self.at(line) for p in panels for line in (p.boresight_m, p.arc_m)]
        for style in ("halo", "beam"):
            yield element("path", class_=style, d=path(lines))

    def stops(self) -> Iterable[Markup]:
        """Numbered circles, the first stop uppermost."""
        for mark in reversed(self.plan.stops):
            x, y = self.spot(mark.at_m)
            yield element("circle", cx=round(x, 1), cy=round(y, 1), r=STOP)
            yield element("text", str(mark.stop.number), x=round(x, 1), y=round(y, 1), dy="0.35em")

    def sites(self) -> Iterable[Markup]:
        """Diamonds."""
        for mark in self.plan.sites:
            yield from self._diamond(mark)

    def names(self, size: float, stop: float) -> Iterable[Markup]:
        """The sites' names in letters of this size among stops of this radius."""
        for name in self.site_names(size, stop):
            yield element("text", name.text, x=round(name.x, 1), y=round(name.y, 1), dy="0.35em")

    def _diamond(self, mark: SiteMark) -> Iterable[Markup]:
        x, y = self.spot(mark.at_m)
        status = mark.site.status
        style = "site" if status is SiteStatus.LIVE else f"site open {status}"
        d = path([_diamond(x, y, DIAMOND)], closed=True)
        yield element("path", class_="halo", d=d)
        yield element("path", class_=style, d=d)
        arm = DIAMOND / 2.0
        bars = [[(x - arm, y + arm), (x + arm, y - arm)], [(x - arm, y - arm), (x + arm, y + arm)]]
        count = {SiteStatus.DARK: 1, SiteStatus.GONE: 2}.get(status, 0)
        if count:
            yield element("path", class_="site open", d=path(bars[:count]))

    def site_names(self, size: float, stop: float) -> list[Name]:
        """Each name where it covers least."""
        return place_site_names(self.plan, self.scale, size, stop)

    def street_names(self) -> Iterable[Markup]:
        """Street names that find room."""
        taken = mark_rooms(self.plan, self.scale, STOP)
        taken += [room_of(name, SITE_SIZE) for name in self.site_names(SITE_SIZE, STOP)]
        for name in place_names(self.plan, self.scale, NAME_SIZE, taken):
            x, y = round(name.x, 1), round(name.y, 1)
            turn = f"rotate({name.turn_deg:.1f} {x} {y})" if abs(name.turn_deg) > 0.1 else None
            yield element("text", name.text, x=x, y=y, dy="0.35em", transform=turn)

    def foot(self, height: float, note: str) -> Iterable[Markup]:
        """Scale bar, north, and whose data the ground is."""
        most = BAR_SHARE * self.plan.box.width_m
        length = max((step for step in BAR_STEPS_M if step <= most), default=BAR_STEPS_M[0])
        y, wide = height + 12.0, length * self.scale
        bar = [[(1.0, y - 4.0), (1.0, y + 4.0)], [(1.0, y), (1.0 + wide, y)],
               [(1.0 + wide, y - 4.0), (1.0 + wide, y + 4.0)]]  # fmt: skip
        yield element("path", d=path(bar))
        yield element("text", f"{length} m", x=round(wide + 8.0, 1), y=y, dy="0.35em")
        north = wide + 92.0
        needle = [[(north, y + 7.0), (north, y - 8.0)],
                  [(north - 3.5, y - 3.0), (north, y - 8.0), (north + 3.5, y - 3.0)]]  # fmt: skip
        yield element("path", d=path(needle))
        yield element("text", "N", x=round(north + 7.0, 1), y=y, dy="0.35em")
        credit = ". ".join(part.rstrip(".") for part in (self.plan.attribution, note) if part)
        yield element("text", credit, x=0, y=y + 20.0, dy="0.35em")
