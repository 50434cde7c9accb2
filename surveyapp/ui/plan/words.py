"""Which words the plan carries at this scale, and where: numbers, site names, street names."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from surveyapp.ui.plan.labels import Box, place
from surveyapp.ui.plan.mark_strokes import SITE_DP, Sizes
from surveyapp.ui.plan.marks import PlanMarks, SiteMark, StopMark
from surveyapp.ui.plan.plan_text import PlanText, TextStyle
from surveyapp.ui.plan.street_names import NamedLine, name_places
from surveyapp.ui.plan.viewport import Viewport

NAME_STYLE = TextStyle(13.0, "soft", halo="raised")
SITE_STYLE = TextStyle(16.0, "accent", halo="raised", bold=True)
NUMBER_STYLE = TextStyle(13.0, "ink", bold=True)
CURRENT_STYLE = TextStyle(13.0, "over_accent", bold=True)
Measure = Callable[[str, TextStyle], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class MarkWords:
    """The words of the marks, the room they take, and the stops that got their number."""

    texts: tuple[PlanText, ...]
    boxes: tuple[Box, ...]
    numbered: frozenset[str]


def mark_words(
    marks: PlanMarks, viewport: Viewport, sizes: Sizes, current_stop_id: str, measure: Measure
) -> MarkWords:
    """Numbers and names that fit: sites first, then the current stop, then the latest stops."""
    diamond_px = 2 * SITE_DP * sizes.dp
    sites = [(mark, _window_box(mark, viewport, diamond_px, diamond_px)) for mark in marks.sites]
    taken = [box for _, box in sites]
    stops = place(_stop_candidates(marks.stops, viewport, sizes, current_stop_id), taken)
    taken += [box for _, box in stops]
    names = place(_name_candidates(sites, viewport, sizes, measure), taken)
    texts = [_number(mark, current_stop_id) for mark, _ in stops]
    for mark, box in names:
        x, y = viewport.to_window(*mark.at)
        shift = (box.x_px - x, box.y_px - y)
        texts.append(PlanText(mark.site.name, *mark.at, SITE_STYLE, shift))
    numbered = frozenset(mark.stop.id for mark, _ in stops)
    return MarkWords(tuple(texts), (*taken, *(box for _, box in names)), numbered)


def street_words(
    lines: Sequence[NamedLine],
    viewport: Viewport,
    taken: Iterable[Box],
    measure: Callable[[str], tuple[float, float]],
) -> list[PlanText]:
    """The street names that find room between everything else."""
    return [
        PlanText(found.name, found.east_m, found.north_m, NAME_STYLE, turn_deg=found.turn_deg)
        for found, _ in place(name_places(lines, viewport, measure), taken)
    ]


def _stop_candidates(
    stops: Iterable[StopMark], viewport: Viewport, sizes: Sizes, current_stop_id: str
) -> Iterable[tuple[StopMark, tuple[Box, ...]]]:
    across_px = 2 * sizes.stop_px
    for mark in sorted(
        stops,
        key=lambda mark: (mark.stop.id == current_stop_id, mark.stop.time_utc),
        reverse=True,
    ):
        yield mark, (_window_box(mark, viewport, across_px, across_px),)


def _name_candidates(
    sites: Iterable[tuple[SiteMark, Box]], viewport: Viewport, sizes: Sizes, measure: Measure
) -> Iterable[tuple[SiteMark, tuple[Box, ...]]]:
    """Beside the diamond, else below or above it; never cut by the edge."""
    for mark, around in sites:
        width, height = measure(mark.site.name, SITE_STYLE)
        aside = around.width_px / 2 + width / 2 + 4 * sizes.dp
        apart = around.height_px / 2 + height / 2
        flush = width / 2 - around.width_px / 2
        shifts = (
            *((aside, 0.0), (-aside, 0.0), (0.0, -apart), (0.0, apart)),
            *((flush, -apart), (flush, apart), (-flush, -apart), (-flush, apart)),
        )
        boxes = (Box(around.x_px + dx, around.y_px + dy, width, height) for dx, dy in shifts)
        size = (viewport.width_px, viewport.height_px)
        yield mark, tuple(box for box in boxes if box.lies_in(*size))


def _window_box(mark: SiteMark | StopMark, viewport: Viewport, width: float, height: float) -> Box:
    x, y = viewport.to_window(*mark.at)
    return Box(x, y, width, height)


def _number(mark: StopMark, current_stop_id: str) -> PlanText:
    style = CURRENT_STYLE if mark.stop.id == current_stop_id else NUMBER_STYLE
    return PlanText(str(mark.stop.number), *mark.at, style)
