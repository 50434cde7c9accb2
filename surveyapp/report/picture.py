"""The summary picture: one sheet of 1200 by 1500 pixels with plan, facts and comparison."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from surveyapp.model import SiteStatus
from surveyapp.report.account import Account
from surveyapp.report.figure_look import our_look
from surveyapp.report.figures import draw_comparison
from surveyapp.report.look import DAY
from surveyapp.report.page import INVENTED, is_invented, survey_day
from surveyapp.report.plan import Plan, lay_out
from surveyapp.report.plan_names import Name, mark_rooms, place_names, place_site_names, room_of
from surveyapp.report.plan_svg import BAR_STEPS_M
from surveyapp.report.told import picture_facts
from surveyapp.report.words import capital, joined, shortened

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH_PX, HEIGHT_PX = 1200, 1500
PER_INCH = 100
EDGE_PX = 60
PLAN_PX = (1080, 720)
LINE_PX, GAP_PX = 29.0, 9.0
POINT = 72.0 / PER_INCH  # points in a pixel


def summary_picture(account: Account) -> bytes:
    """The picture as PNG, without any metadata. Raises MissingPackage without matplotlib."""
    with our_look():
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        figure = Figure(figsize=(WIDTH_PX / PER_INCH, HEIGHT_PX / PER_INCH), dpi=PER_INCH,
                        facecolor=DAY.paper)  # fmt: skip
        FigureCanvasAgg(figure)
        draw_summary(figure, account)
        held = io.BytesIO()
        figure.savefig(held, format="png", facecolor=DAY.paper, metadata={"Software": None})
        return held.getvalue()


def draw_summary(figure: Figure, account: Account) -> None:
    """All parts of the sheet; needs `our_look`."""
    survey, invented = account.record.survey, is_invented(account)
    _text(figure, EDGE_PX, 66, shortened(survey.title, 36), 40, bold=True)
    _text(figure, EDGE_PX, 122, shortened(_subtitle(account), 80), 24, DAY.soft)
    plan = lay_out(account.record, (PLAN_PX[0] / PLAN_PX[1],) * 2)
    top = 168
    if plan is not None:
        axes = _axes(figure, EDGE_PX, top, *PLAN_PX)
        draw_plan(axes, plan)
        top += PLAN_PX[1] + 34
    main = account.comparisons[0][0] if account.comparisons else None
    drawn = main is not None and bool(main.pairs)
    facts = picture_facts(account)
    if plan is None:
        facts.append("Nothing of this survey has a position, so there is no plan.")
    y = float(top + 12)
    for lines in _fitting(facts, 56 if drawn else 92, HEIGHT_PX - 112 - top):
        for line in lines:
            _text(figure, EDGE_PX, y, line, 20.5)
            y += LINE_PX
        y += GAP_PX
    if main is not None and drawn:
        height = HEIGHT_PX - 190 - top
        axes = _axes(figure, 825, top + 2, WIDTH_PX - EDGE_PX - 825, height)
        draw_comparison(axes, main, survey.title, size=1.4)
        axes.tick_params(axis="x", labelsize=16 * POINT)
        axes.tick_params(axis="y", labelsize=min(15.0, height / (len(main.pairs) + 3)) * POINT)
        axes.xaxis.label.set_fontsize(17 * POINT)
    if invented:
        _text(figure, WIDTH_PX - EDGE_PX, 66, INVENTED, 22, DAY.accent, bold=True, right=True)
    if plan is not None:
        _text(figure, EDGE_PX, HEIGHT_PX - 72, signs_told(account, plan), 17, DAY.soft)
    _text(figure, EDGE_PX, HEIGHT_PX - 44, account.record.ground.attribution, 17, DAY.soft)


def signs_told(account: Account, plan: Plan) -> str:
    """What the plan's signs mean, those that are there: whoever meets the picture has no report."""
    said = ["Diamond: a site, an arc each panel's beam"] * bool(plan.sites)
    grid = "" if account.record.exact_places else ", moved to a grid"
    said += [f"circle: a stop{grid}"] * bool(plan.stops)
    said += ["thin line: a sighting"] * bool(plan.rays)
    return capital(f"{'; '.join(said)}.")


def _subtitle(account: Account) -> str:
    return joined([survey_day(account), account.record.survey.place_text])


def _text(
    figure: Figure, x: float, y: float, text: str, size_px: float, colour: str = DAY.ink,
    *, bold: bool = False, right: bool = False,
) -> None:  # fmt: skip
    """Text with its left end and middle at pixels counted from the upper left; never markup."""
    figure.text(
        x / WIDTH_PX, 1.0 - y / HEIGHT_PX, text, fontsize=size_px * POINT, color=colour,
        va="center", ha="right" if right else "left", weight="bold" if bold else "normal",
        parse_math=False,
    )  # fmt: skip


def _axes(figure: Figure, x: float, y: float, width: float, height: float) -> Axes:
    return figure.add_axes(
        (x / WIDTH_PX, 1.0 - (y + height) / HEIGHT_PX, width / WIDTH_PX, height / HEIGHT_PX)
    )


def _fitting(facts: Sequence[str], width: int, room_px: float) -> list[list[str]]:
    """Whole sentences as lines, the first ones first, as many as there is room for."""
    held: list[list[str]] = []
    used_px = 0.0
    for fact in facts:
        lines = textwrap.wrap(fact, width)
        used_px += len(lines) * LINE_PX + GAP_PX
        if used_px <= room_px:
            held.append(lines)
    return held


def draw_plan(axes: Axes, plan: Plan) -> None:
    """The plan of the page, in the same signs, filling its axes; needs `our_look`."""
    from matplotlib.collections import LineCollection, PolyCollection

    scale = _frame(axes, plan)
    axes.add_collection(
        PolyCollection(
            [house[0] for house in plan.buildings], facecolors=DAY.pressed, edgecolors="none"
        )
    )
    courts = [ring for house in plan.buildings for ring in house[1:]]
    axes.add_collection(PolyCollection(courts, facecolors=DAY.raised, edgecolors="none"))
    axes.add_collection(
        LineCollection(
            [street.points_m for street in plan.streets],
            colors=[DAY.paper if s.width_m > 2.0 else DAY.pressed for s in plan.streets],
            linewidths=[max(s.width_m * scale, 0.8) * POINT for s in plan.streets],
            capstyle="round",
        )
    )
    for clear, style in ((True, "solid"), (False, (0, (4, 4)))):
        rays = [[ray.from_m, ray.to_m] for ray in plan.rays if ray.clear is clear]
        axes.add_collection(
            LineCollection(rays, colors=DAY.ink, linewidths=0.8, alpha=0.7, linestyles=[style])
        )
    lines = [line for s in plan.sites for p in s.panels for line in (p.boresight_m, p.arc_m)]
    axes.add_collection(LineCollection(lines, colors=DAY.raised, linewidths=4.5))
    axes.add_collection(LineCollection(lines, colors=DAY.accent, linewidths=1.8))
    _stops(axes, plan)
    _sites(axes, plan)
    _names(axes, plan, scale)
    _scale_bar(axes, plan, scale)


def _scale_bar(axes: Axes, plan: Plan, scale: float) -> None:
    """A bar of a round length and north, on a strip of paper in the lower right corner."""
    from matplotlib.patches import Rectangle

    length = max(step for step in BAR_STEPS_M if step * scale <= 200.0 or step == BAR_STEPS_M[0])
    east, south = plan.box.east_m, plan.box.south_m
    unit = 1.0 / scale
    left = east - (length * scale + 140.0) * unit
    axes.add_patch(
        Rectangle((left - 14 * unit, south), east - left + 14 * unit, 40 * unit,
                  facecolor=DAY.raised, edgecolor=DAY.line, linewidth=0.8, zorder=5)
    )  # fmt: skip
    y = south + 20.0 * unit
    axes.plot([left, left + length], [y, y], color=DAY.ink, linewidth=1.4, zorder=6,
              marker="|", markersize=8)  # fmt: skip
    axes.text(left + length + 10 * unit, y, f"{length} m", fontsize=16 * POINT, va="center",
              zorder=6)  # fmt: skip
    axes.annotate("", (east - 22 * unit, y + 14 * unit), (east - 22 * unit, y - 14 * unit),
                  arrowprops={"arrowstyle": "->", "color": DAY.ink}, zorder=6)  # fmt: skip
    axes.text(east - 38 * unit, y, "N", fontsize=16 * POINT, va="center", zorder=6)


def _frame(axes: Axes, plan: Plan) -> float:
    """Set the window to hold the plan's box at the axes' shape; pixels to a metre."""
    box, (width_px, height_px) = plan.box, PLAN_PX
    scale = min(width_px / box.width_m, height_px / box.height_m)
    half_wide, half_high = width_px / scale / 2.0, height_px / scale / 2.0
    middle = ((box.west_m + box.east_m) / 2.0, (box.south_m + box.north_m) / 2.0)
    axes.set_xlim(middle[0] - half_wide, middle[0] + half_wide)
    axes.set_ylim(middle[1] - half_high, middle[1] + half_high)
    axes.set_facecolor(DAY.raised)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_visible(True)
        spine.set_color(DAY.line)
    return scale


def _stops(axes: Axes, plan: Plan) -> None:
    for mark in reversed(plan.stops):
        axes.plot(*mark.at_m, "o", color=DAY.raised, markeredgecolor=DAY.ink,
                  markeredgewidth=1.2, markersize=22 * POINT)  # fmt: skip
        axes.text(*mark.at_m, str(mark.stop.number), fontsize=14 * POINT, weight="bold",
                  ha="center", va="center_baseline")  # fmt: skip


def _sites(axes: Axes, plan: Plan) -> None:
    for mark in plan.sites:
        live = mark.site.status is SiteStatus.LIVE
        axes.plot(
            *mark.at_m, "D", color=DAY.accent if live else DAY.raised, markeredgewidth=1.6,
            markeredgecolor=DAY.accent, markersize=15 * POINT,
        )  # fmt: skip


def _names(axes: Axes, plan: Plan, scale: float) -> None:
    """Names of sites beside their diamonds, then of streets where there is room."""
    from matplotlib.patheffects import withStroke

    halo = [withStroke(linewidth=3.0, foreground=DAY.raised)]
    taken = mark_rooms(plan, scale, 12.0)
    for name in place_site_names(plan, scale, 19.0, 12.0):
        taken.append(room_of(name, 19.0))
        axes.text(
            *_place(plan, scale, name), name.text, fontsize=19 * POINT, weight="bold",
            color=DAY.accent, ha="center", va="center", path_effects=halo, parse_math=False,
            clip_on=True,
        )  # fmt: skip
    for name in place_names(plan, scale, 15.0, taken):
        at = _place(plan, scale, name)
        axes.text(*at, name.text, fontsize=15 * POINT, color=DAY.soft, rotation=-name.turn_deg,
                  ha="center", va="center", rotation_mode="anchor", path_effects=halo,
                  parse_math=False)  # fmt: skip


def _place(plan: Plan, scale: float, name: Name) -> tuple[float, float]:
    """A name's place in metres of the plane."""
    return plan.box.west_m + name.x / scale, plan.box.north_m - name.y / scale
