"""The map of the chance of cover, with the levels that were read."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup

from surveyapp.analysis.sector_readings import sector_pcis
from surveyapp.model import Rat
from surveyapp.report.cover import CoverAccount
from surveyapp.report.figure_look import WIDTH_IN, figure_svg, new_figure, our_look
from surveyapp.report.plan import BORESIGHT_M, Panel, Plan, panel_at
from surveyapp.report.words import counted, number

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from surveyapp.analysis.cover_grid import Cover, MeasuredCover

CHANCES = tuple(step / 10.0 for step in range(11))
LIKELY, EVEN = 0.9, 0.5  # chances that are outlined
DARK, PALE = "#1a1a18", "#ffffff"  # on the map's own colours by day and by night


def cover_figure(account: CoverAccount, plan: Plan) -> Markup:
    """Chance of cover by place, with outlines and the levels that were read."""
    with our_look():
        width_m, height_m = plan.box.width_m, plan.box.height_m
        figure = new_figure(min(WIDTH_IN * height_m / width_m, 7.0) + 0.35)
        draw_cover(figure.subplots(), account, plan)
        return figure_svg(figure, "cover", "Chance of cover", cover_told(account))


def cover_told(account: CoverAccount) -> str:
    """The cover figure in words."""
    if account.cover is None:
        return "Cover is not drawn."
    measured = account.cover.measured
    words = (
        f"The modelled chance that a 5G panel gives {number(account.threshold_dbm, 0)} dBm or "
        "more, by place."
    )
    if not measured:
        return words
    covered = sum(one.covered for one in measured)
    read = counted(len(measured), "place")
    return f"{words} Of {read} where a fitted panel was read, {covered} had that level."


def cover_caption(account: CoverAccount, plan: Plan) -> str:
    """The signs that are drawn, and no others."""
    if account.cover is None:
        return ""
    held = account.cover
    said = []
    if _outlined(held, EVEN):
        said.append("thin line: 50 % chance")
    if _outlined(held, LIKELY):
        said.append("thick line: 90 %")
    said.append("diamond: a site with 5G, and where its panels face")
    read = {one.covered for one in _shown(account, plan)}
    said += ["filled dot: a fitted panel was read with that level"] * (True in read)
    said += ["open dot: it was read with less"] * (False in read)
    words = "; ".join(said)
    only = "only the dots were measured" if read else "nothing of it was measured"
    return f"{words[:1].upper()}{words[1:]}. This is a model; {only}."


def _outlined(held: Cover, chance: float) -> bool:
    return bool(np.min(held.modelled.chance) < chance < np.max(held.modelled.chance))


def _shown(account: CoverAccount, plan: Plan) -> list[MeasuredCover]:
    """The places read that may be shown."""
    places = {mark.stop.id for mark in plan.stops}
    measured = account.cover.measured if account.cover is not None else ()
    return [one for one in measured if one.place.stop_id in places]


def draw_cover(axes: Axes, account: CoverAccount, plan: Plan) -> None:
    """The map in metres, in the plan's own frame; needs `our_look`."""
    cover = account.cover
    assert cover is not None
    held = cover.modelled
    east, north = (float(v) for v in plan.plane.to_plane(held.plane.lat0_deg, held.plane.lon0_deg))
    x, y = held.east_m + east, held.north_m + north
    image = axes.contourf(x, y, held.chance, levels=CHANCES, cmap="cividis", vmin=0.0, vmax=1.0)
    _draw_walls(axes, plan)
    for chance, width in ((EVEN, 0.7), (LIKELY, 1.3)):
        if _outlined(cover, chance):
            axes.contour(x, y, held.chance, levels=[chance], colors=DARK, linewidths=width + 1.1)
            axes.contour(x, y, held.chance, levels=[chance], colors=PALE, linewidths=width)
    _draw_sites(axes, plan)
    places = {mark.stop.id: mark.at_m for mark in plan.stops}  # as they may be shown
    for one in _shown(account, plan):
        axes.plot(*places[one.place.stop_id], "o", markersize=4.5, markeredgecolor=PALE,
                  markeredgewidth=0.9, color=DARK if one.covered else "none")  # fmt: skip
    box = plan.box
    axes.set_xlim(box.west_m, box.east_m)
    axes.set_ylim(box.south_m, box.north_m)
    axes.set_aspect("equal")
    axes.set_xticks([])
    axes.set_yticks([])
    bar = axes.figure.colorbar(image, ax=axes, orientation="horizontal", fraction=0.045, pad=0.02)
    bar.set_ticks([0.0, 0.25, 0.5, 0.75, 1.0], labels=["0", "25", "50", "75", "100 %"])
    bar.set_label(f"chance of {number(account.threshold_dbm, 0)} dBm or more")
    bar.outline.set_visible(False)


def _draw_walls(axes: Axes, plan: Plan) -> None:
    from matplotlib.collections import LineCollection

    walls = [ring for house in plan.buildings for ring in house]
    axes.add_collection(LineCollection(walls, colors=PALE, linewidths=0.35, alpha=0.45))


def _draw_sites(axes: Axes, plan: Plan) -> None:
    """Sites with 5G and where those panels face, dark below pale so that both ends of the
    colours bear them."""
    for mark in plan.sites:
        panels = [panel for panel in mark.panels if Rat.NR in sector_pcis(panel.sector)]
        for panel in panels:
            _draw_boresight(axes, panel, mark.at_m)
        if panels:
            axes.plot(*mark.at_m, "D", color=PALE, markeredgecolor=DARK, markersize=5.5)


def _draw_boresight(axes: Axes, panel: Panel, at_m: tuple[float, float]) -> None:
    turned = panel_at(panel.sector, at_m, BORESIGHT_M)
    if turned is not None:
        for colour, width in ((DARK, 2.4), (PALE, 1.0)):
            axes.plot(*turned.boresight_m.T, color=colour, linewidth=width)
