"""Which words the plan carries at this scale, and where: numbers, names, levels, streets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from surveyapp.model import SiteKind
from surveyapp.ui.plan.findings import FindingLabel
from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box, place
from surveyapp.ui.plan.marks import PlanMarks, SiteMark, StopMark, boresight
from surveyapp.ui.plan.plan_text import PlanText, TextStyle
from surveyapp.ui.plan.site_strokes import SITE_DP
from surveyapp.ui.plan.stop_marks import StopMarks
from surveyapp.ui.plan.street_names import NamedLine, name_places
from surveyapp.ui.plan.viewport import Viewport

NAME_STYLE = TextStyle(13.0, "soft", halo="raised")
SITE_STYLE = TextStyle(16.0, "accent", halo="raised", bold=True)
LANDMARK_STYLE = TextStyle(14.0, "ink", halo="raised")
NUMBER_STYLE = TextStyle(13.0, "ink", bold=True)
CURRENT_STYLE = TextStyle(13.0, "over_accent", bold=True)
LEVEL_STYLE = TextStyle(14.0, "ink", halo="raised", bold=True)
VALUE_STYLE = TextStyle(14.0, "ink", halo="raised", bold=True)
BAR_DP = 25.0  # room for a level's bar and the gap after it
BEAM_DP = 12.0  # about a beam's strokes
BESIDE_STAND_DP = 32.0  # where a letter goes that finds its own place taken
MOST_BEHIND = 200  # stops behind one circle that are told one by one
Measure = Callable[[str, TextStyle], tuple[float, float]]
Point = tuple[float, float]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class MarkWords:
    """The words of the marks, the room they take, and what is drawn for them.

    `numbered` are the stops that got their number, `clusters` the indexes of the stops behind
    each of them by its id, `bars` the stops whose level is told, with the place of its bar in
    pixels.
    """

    texts: tuple[PlanText, ...] = ()
    boxes: tuple[Box, ...] = ()
    numbered: tuple[StopMark, ...] = ()
    clusters: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    bars: tuple[tuple[StopMark, Point], ...] = ()


def mark_words(
    marks: PlanMarks,
    viewport: Viewport,
    sizes: Sizes,
    current_stop_id: str,
    measure: Measure,
    findings: Iterable[FindingLabel] = (),
    reserved: Sequence[Box] = (),
) -> MarkWords:
    """Words that fit, in order of weight: sites, places to stand at, the current stop, the
    latest stops, names of sites, values of outlines, levels. None covers what is `reserved`."""
    diamond_px = 2 * SITE_DP * sizes.dp
    sites = [(mark, _window_box(mark, viewport, diamond_px, diamond_px)) for mark in marks.sites]
    taken = [box for _, box in sites] + list(reserved)
    told = place(_finding_candidates(findings, viewport, sizes, measure), taken)
    stands = [box for label, box in told if label.is_stand]
    taken += stands
    seen = _in_sight(marks.stops, viewport, current_stop_id)
    placed = place(_stop_candidates(marks.stops, seen, viewport, sizes), taken)
    taken += [box for _, box in placed]
    boxes = {marks.stops.ids[index]: box for index, box in placed}
    numbered = tuple(marks.stops.take(index for index, _ in placed))
    chosen = np.array([index for index, _ in placed], dtype=np.intp)
    clusters = _clusters(marks.stops, chosen, seen, 2 * sizes.stop_px / viewport.px_per_m)
    names = place(_name_candidates(sites, viewport, sizes, measure), taken)
    taken += [box for _, box in names]
    outlines = place(((label, (box,)) for label, box in told if not label.is_stand), taken)
    taken += [box for _, box in outlines]
    levels = place(_level_candidates(numbered, boxes, viewport, sizes, measure), taken)
    taken += [box for _, box in levels]
    texts = [_number(mark, current_stop_id) for mark in numbered]
    texts += [_name(mark, box, viewport) for mark, box in names]
    texts += [_at_box(label, box, viewport) for label, box in told if label.is_stand]
    texts += [_at_box(label, box, viewport) for label, box in outlines]
    bars = []
    for mark, box in levels:
        text = mark.level.text
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


def beam_boxes(sites: Iterable[SiteMark], viewport: Viewport, sizes: Sizes) -> Iterable[Box]:
    """Small squares along the boresights and arcs of panels, which names of streets avoid."""
    side_px, reach_px = BEAM_DP * sizes.dp, sizes.boresight_px
    for mark in sites:
        x, y = viewport.to_window(*mark.at)
        for azimuth_deg, beamwidth_deg in filter(None, map(boresight, mark.sectors)):
            half_deg = min(beamwidth_deg, 359.0) / 2
            turns = np.radians(
                np.append(azimuth_deg, azimuth_deg + np.linspace(-half_deg, half_deg, 5))
            )
            shares = (0.5, *(1.0 for _ in turns[1:]))
            for turn, share in zip(turns.tolist(), shares, strict=True):
                away = share * reach_px
                yield Box(x + away * sin(turn), y + away * cos(turn), side_px, side_px)


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


def _in_sight(stops: StopMarks, viewport: Viewport, current_stop_id: str) -> IntArray:
    """Indexes of the stops within the window, the current one first, then the latest."""
    west, south, east, north = viewport.box_m
    inside = ((stops.at_m >= (west, south)) & (stops.at_m <= (east, north))).all(axis=1)
    seen = np.flatnonzero(inside)[::-1]
    current = seen == stops.position(current_stop_id)
    return np.concatenate([seen[current], seen[~current]])


def _stop_candidates(
    stops: StopMarks, seen: IntArray, viewport: Viewport, sizes: Sizes
) -> Iterable[tuple[int, tuple[Box, ...]]]:
    """Each stop whose number could find room: one at most in each square of its size."""
    across_px = 2 * sizes.stop_px
    places = np.column_stack(viewport.to_window(*stops.at_m[seen].T))
    _, first = np.unique(_squares(places, across_px), return_index=True)
    for nth in np.sort(first).tolist():
        x_px, y_px = places[nth].tolist()
        yield int(seen[nth]), (Box(x_px, y_px, across_px, across_px),)


def _clusters(
    stops: StopMarks, numbered: IntArray, seen: IntArray, reach_m: float
) -> dict[str, tuple[int, ...]]:
    """The indexes of the stops in sight without a number, by the first numbered one they touch.

    Circles do not overlap, so a square of their size holds one at most, and what a stop touches
    stands in its own square or in one of the eight around it.
    """
    left = seen[~np.isin(seen, numbered)]
    if not len(left) or not len(numbered):
        return {}
    squares = _squares(stops.at_m[numbered], reach_m)
    order = np.argsort(squares)
    here, touched = stops.at_m[left], np.full(len(left), len(numbered))
    for shift in ((e, n) for e in (-1, 0, 1) for n in (-1, 0, 1)):
        wanted = _squares(here + np.array(shift) * reach_m, reach_m)
        at = np.minimum(np.searchsorted(squares[order], wanted), len(order) - 1)
        rank = order[at]
        apart = np.abs(here - stops.at_m[numbered[rank]]).max(axis=1)
        near = (squares[rank] == wanted) & (apart < reach_m)
        touched = np.where(near, np.minimum(touched, rank), touched)
    found: dict[str, tuple[int, ...]] = {}
    for rank in np.unique(touched[touched < len(numbered)]).tolist():
        behind = left[touched == rank][:MOST_BEHIND].tolist()
        found[stops.ids[numbered[rank]]] = tuple(behind)
    return found


def _squares(places: FloatArray, side: float) -> IntArray:
    """One number for the square of a grid that each place (n, 2) lies in."""
    columns, rows = np.floor(places / side).astype(np.int64).T
    return np.asarray(columns * 2**31 + rows)


def _level_candidates(
    stops: Iterable[StopMark],
    boxes: Mapping[str, Box],
    viewport: Viewport,
    sizes: Sizes,
    measure: Measure,
) -> Iterable[tuple[StopMark, tuple[Box, ...]]]:
    """The bar and its number below the circle, else right, left or above."""
    for mark in stops:
        if mark.level is None:
            continue
        around = boxes[mark.stop.id]
        width, height = measure(mark.level.text, LEVEL_STYLE)
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
        width, height = measure(mark.site.name, _name_style(mark))
        aside = around.width_px / 2 + width / 2 + 4 * sizes.dp
        apart = around.height_px / 2 + height / 2
        flush = width / 2 - around.width_px / 2
        shifts = (
            *((aside, 0.0), (-aside, 0.0), (0.0, -apart), (0.0, apart)),
            *((flush, -apart), (flush, apart), (-flush, -apart), (-flush, apart)),
        )
        yield mark, _free_boxes(around, width, height, shifts, viewport)


def _name(mark: SiteMark, box: Box, viewport: Viewport) -> PlanText:
    return _beside(mark, mark.site.name, _name_style(mark), box, viewport)


def _name_style(mark: SiteMark) -> TextStyle:
    return LANDMARK_STYLE if mark.site.kind is SiteKind.LANDMARK else SITE_STYLE


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
