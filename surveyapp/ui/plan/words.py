"""Which words the plan carries at this scale, and where: numbers, names, levels, streets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from surveyapp.ui.plan.findings import FindingLabel
from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box, place
from surveyapp.ui.plan.marks import PlanMarks, SiteMark, StopMark
from surveyapp.ui.plan.plan_text import PlanText, TextStyle
from surveyapp.ui.plan.site_strokes import SITE_DP
from surveyapp.ui.plan.street_names import NamedLine, name_places
from surveyapp.ui.plan.viewport import Viewport

NAME_STYLE = TextStyle(13.0, "soft", halo="raised")
SITE_STYLE = TextStyle(16.0, "accent", halo="raised", bold=True)
NUMBER_STYLE = TextStyle(13.0, "ink", bold=True)
CURRENT_STYLE = TextStyle(13.0, "over_accent", bold=True)
LEVEL_STYLE = TextStyle(14.0, "ink", halo="raised", bold=True)
VALUE_STYLE = TextStyle(14.0, "ink", halo="raised", bold=True)
BAR_DP = 25.0  # room for a level's bar and the gap after it
BESIDE_STAND_DP = 32.0  # where a letter goes that finds its own place taken
MOST_BEHIND = 200  # stops behind one circle that are told one by one
Measure = Callable[[str, TextStyle], tuple[float, float]]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MarkWords:
    """The words of the marks, the room they take, and what is drawn for them.

    `numbered` are the stops that got their number, `clusters` the stops behind each of them
    by its id, `bars` the stops whose level is told, with the place of its bar in pixels.
    """

    texts: tuple[PlanText, ...] = ()
    boxes: tuple[Box, ...] = ()
    numbered: tuple[StopMark, ...] = ()
    clusters: Mapping[str, tuple[StopMark, ...]] = field(default_factory=dict)
    bars: tuple[tuple[StopMark, Point], ...] = ()


def mark_words(
    marks: PlanMarks,
    viewport: Viewport,
    sizes: Sizes,
    current_stop_id: str,
    measure: Measure,
    findings: Iterable[FindingLabel] = (),
) -> MarkWords:
    """Words that fit, in order of weight: sites, places to stand at, the current stop, the
    latest stops, names of sites, values of outlines, levels."""
    diamond_px = 2 * SITE_DP * sizes.dp
    sites = [(mark, _window_box(mark, viewport, diamond_px, diamond_px)) for mark in marks.sites]
    taken = [box for _, box in sites]
    told = place(_finding_candidates(findings, viewport, sizes, measure), taken)
    stands = [box for label, box in told if label.is_stand]
    taken += stands
    seen = _in_sight(marks.stops, viewport, current_stop_id)
    stops = place(_stop_candidates(seen, viewport, sizes), taken)
    taken += [box for _, box in stops]
    numbered = tuple(mark for mark, _ in stops)
    clusters = _clusters(numbered, seen, 2 * sizes.stop_px / viewport.px_per_m)
    names = place(_name_candidates(sites, viewport, sizes, measure), taken)
    taken += [box for _, box in names]
    outlines = place(((label, (box,)) for label, box in told if not label.is_stand), taken)
    taken += [box for _, box in outlines]
    levels = place(_level_candidates(marks, stops, viewport, sizes, measure), taken)
    taken += [box for _, box in levels]
    texts = [_number(mark, current_stop_id) for mark in numbered]
    texts += [_beside(mark, mark.site.name, SITE_STYLE, box, viewport) for mark, box in names]
    texts += [_at_box(label, box, viewport) for label, box in told if label.is_stand]
    texts += [_at_box(label, box, viewport) for label, box in outlines]
    bars = []
    for mark, box in levels:
        text = marks.levels[mark.stop.id].text
        right = BAR_DP * sizes.dp / 2
        texts.append(_beside(mark, text, LEVEL_STYLE, box, viewport, right))
        x, y = viewport.to_window(*mark.at)
        bars.append((mark, (box.x_px - box.width_px / 2 + 8.5 * sizes.dp - x, box.y_px - y)))
    return MarkWords(tuple(texts), tuple(taken), numbered, clusters, tuple(bars))


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


def _finding_candidates(
    findings: Iterable[FindingLabel], viewport: Viewport, sizes: Sizes, measure: Measure
) -> Iterable[tuple[FindingLabel, tuple[Box, ...]]]:
    size = (viewport.width_px, viewport.height_px)
    for label in findings:
        width, height = measure(label.text, VALUE_STYLE)
        if label.is_stand:
            width = height = 30.0 * sizes.dp
        middles = [viewport.to_window(*at) for at in label.places]
        if label.is_stand:
            aside = BESIDE_STAND_DP * sizes.dp
            ((x, y),) = middles
            shifts = ((aside, 0.0), (-aside, 0.0), (0.0, aside), (0.0, -aside))
            middles += [(x + dx, y + dy) for dx, dy in shifts]
        boxes = (Box(*middle, width, height) for middle in middles)
        yield label, tuple(box for box in boxes if box.lies_in(*size))


def _at_box(label: FindingLabel, box: Box, viewport: Viewport) -> PlanText:
    return PlanText(label.text, *viewport.to_plane(box.x_px, box.y_px), VALUE_STYLE)


def _in_sight(
    stops: Sequence[StopMark], viewport: Viewport, current_stop_id: str
) -> list[StopMark]:
    """The stops within the window, the current one first, then the latest."""
    if not stops:
        return []
    west, south, east, north = viewport.box_m
    at = np.array([mark.at for mark in stops])
    inside = ((at >= (west, south)) & (at <= (east, north))).all(axis=1)
    return sorted(
        (stops[index] for index in np.flatnonzero(inside).tolist()),
        key=lambda mark: (mark.stop.id == current_stop_id, mark.stop.time_utc),
        reverse=True,
    )


def _stop_candidates(
    stops: Iterable[StopMark], viewport: Viewport, sizes: Sizes
) -> Iterable[tuple[StopMark, tuple[Box, ...]]]:
    """Each stop whose number could find room: one at most in each square of its size."""
    across_px = 2 * sizes.stop_px
    full = set()
    for mark in stops:
        box = _window_box(mark, viewport, across_px, across_px)
        square = (box.x_px // across_px, box.y_px // across_px)
        if square not in full:
            full.add(square)
            yield mark, (box,)


def _clusters(
    numbered: Sequence[StopMark], seen: Sequence[StopMark], reach_m: float
) -> dict[str, tuple[StopMark, ...]]:
    """The stops in sight without a number, each behind the first numbered one it touches."""
    shown = {mark.stop.id for mark in numbered}
    left = [mark for mark in seen if mark.stop.id not in shown]
    if not left or not numbered:
        return {}
    at = np.array([mark.at for mark in left])
    free = np.ones(len(left), dtype=bool)
    behind: dict[str, tuple[StopMark, ...]] = {}
    for mark in numbered:
        touched = free & (np.abs(at - mark.at).max(axis=1) < reach_m)
        if touched.any():
            free &= ~touched
            found = np.flatnonzero(touched)[:MOST_BEHIND].tolist()
            behind[mark.stop.id] = tuple(left[index] for index in found)
    return behind


def _level_candidates(
    marks: PlanMarks,
    stops: Iterable[tuple[StopMark, Box]],
    viewport: Viewport,
    sizes: Sizes,
    measure: Measure,
) -> Iterable[tuple[StopMark, tuple[Box, ...]]]:
    """The bar and its number below the circle, else right, left or above."""
    for mark, around in stops:
        level = marks.levels.get(mark.stop.id)
        if level is None:
            continue
        width, height = measure(level.text, LEVEL_STYLE)
        width, height = width + BAR_DP * sizes.dp, max(height, 16 * sizes.dp)
        aside = around.width_px / 2 + width / 2 + 4 * sizes.dp
        apart = around.height_px / 2 + height / 2 + 2 * sizes.dp
        shifts = ((aside, 0.0), (0.0, -apart), (-aside, 0.0), (0.0, apart))
        yield mark, _free_boxes(around, width, height, shifts, viewport)


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
        yield mark, _free_boxes(around, width, height, shifts, viewport)


def _free_boxes(
    around: Box, width: float, height: float, shifts: Iterable[Point], viewport: Viewport
) -> tuple[Box, ...]:
    boxes = (Box(around.x_px + dx, around.y_px + dy, width, height) for dx, dy in shifts)
    size = (viewport.width_px, viewport.height_px)
    return tuple(box for box in boxes if box.lies_in(*size))


def _window_box(mark: SiteMark | StopMark, viewport: Viewport, width: float, height: float) -> Box:
    x, y = viewport.to_window(*mark.at)
    return Box(x, y, width, height)


def _beside(
    mark: SiteMark | StopMark,
    text: str,
    style: TextStyle,
    box: Box,
    viewport: Viewport,
    right_px: float = 0.0,
) -> PlanText:
    """Words in their box, told from the place of their mark so that they move with it."""
    x, y = viewport.to_window(*mark.at)
    return PlanText(text, *mark.at, style, (box.x_px - x + right_px, box.y_px - y))


def _number(mark: StopMark, current_stop_id: str) -> PlanText:
    style = CURRENT_STYLE if mark.stop.id == current_stop_id else NUMBER_STYLE
    return PlanText(str(mark.stop.number), *mark.at, style)
