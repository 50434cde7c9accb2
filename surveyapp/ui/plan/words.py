"""Which words the plan carries at this scale, and where: numbers, names, levels, streets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from surveyapp.model import SiteKind
from surveyapp.ui.plan.crossings import Crossings
from surveyapp.ui.plan.findings import FindingLabel
from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box, place
from surveyapp.ui.plan.marks import PlanMarks, SiteMark, StopMark, boresight
from surveyapp.ui.plan.plan_text import PlanText, TextStyle
from surveyapp.ui.plan.site_strokes import SITE_DP
from surveyapp.ui.plan.stop_marks import StopMarks
from surveyapp.ui.plan.stop_numbers import (
    aside_candidates,
    aside_of,
    clusters_behind,
    in_sight,
    stop_candidates,
)
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
LETTER_DP = 22.0  # clear ground about the letter of a stand
BESIDE_STAND_DP = 32.0  # where a letter goes that finds its own place taken
Measure = Callable[[str, TextStyle], tuple[float, float]]
Point = tuple[float, float]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class MarkWords:
    """The words of the marks, the room they take, and what is drawn for them.

    `numbered` are the stops that got their number, `clusters` the indexes of the stops behind
    each of them by its id, `aside` by how many pixels a circle stands off its stop whose place
    was taken, `bars` the stops whose level is told, with the place of its bar in pixels.
    `plates` are the places of values, with the box in pixels that no line may cross.
    """

    texts: tuple[PlanText, ...] = ()
    boxes: tuple[Box, ...] = ()
    numbered: tuple[StopMark, ...] = ()
    clusters: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    bars: tuple[tuple[StopMark, Point], ...] = ()
    aside: Mapping[str, Point] = field(default_factory=dict)
    plates: tuple[tuple[Point, Box], ...] = ()

    def aside_m(self, px_per_m: float) -> dict[str, Point]:
        """By how many metres at this scale circles stand off their stops, by the stops' ids."""
        return {key: (x / px_per_m, y / px_per_m) for key, (x, y) in self.aside.items()}


def mark_words(
    marks: PlanMarks,
    viewport: Viewport,
    sizes: Sizes,
    current_stop_id: str,
    measure: Measure,
    findings: Iterable[FindingLabel] = (),
    reserved: Sequence[Box] = (),
    lines_m: Iterable[FloatArray] = (),
) -> MarkWords:
    """Words that fit, in order of weight: sites, places to stand at, the current stop, the
    latest stops, names of sites, stops aside of their places, values of outlines, levels. None
    covers what is `reserved`; levels keep off lines, `lines_m` among them, where they can."""
    diamond_px = 2 * SITE_DP * sizes.dp
    sites = [(mark, _window_box(mark, viewport, diamond_px, diamond_px)) for mark in marks.sites]
    taken = [box for _, box in sites] + list(reserved)
    told = place(_finding_candidates(findings, viewport, sizes, measure), taken)
    stands = [box for label, box in told if label.is_stand]
    taken += stands
    seen = in_sight(marks.stops, viewport, current_stop_id)
    wanted_names = _name_candidates(sites, viewport, sizes, measure)
    placed, names = _stops_and_names(marks.stops, seen, wanted_names, viewport, sizes, taken)
    taken += [box for _, box in (*placed, *names)]
    boxes = {marks.stops.ids[index]: box for index, box in placed}
    numbered = tuple(marks.stops.take(index for index, _ in placed))
    chosen = np.array([index for index, _ in placed], dtype=np.intp)
    clusters = clusters_behind(marks.stops, chosen, seen, 2 * sizes.stop_px / viewport.px_per_m)
    outlines = place(((label, (box,)) for label, box in told if not label.is_stand), taken)
    taken += [box for _, box in outlines]
    crossings = Crossings.of(marks, viewport, sizes, lines_m)
    wanted = _level_candidates(numbered, boxes, viewport, sizes, measure, crossings)
    levels = place(wanted, taken)
    taken += [box for _, box in levels]
    moved = aside_of(numbered, boxes, viewport)
    texts = [_number(mark, current_stop_id, moved) for mark in numbered]
    texts += [_name(mark, box, viewport) for mark, box in names]
    letters = [(label, box) for label, box in told if label.is_stand]
    texts += [_at_box(label, box, viewport) for label, box in (*letters, *outlines)]
    level_texts, bars, plates = _drawn_levels(levels, viewport, sizes)
    return MarkWords(
        tuple(texts + level_texts), tuple(taken), numbered, clusters, bars, moved,
        (*_plates_at((*letters, *outlines), viewport, sizes), *plates),
    )  # fmt: skip


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


def _level_candidates(
    stops: Iterable[StopMark],
    boxes: Mapping[str, Box],
    viewport: Viewport,
    sizes: Sizes,
    measure: Measure,
    crossings: Crossings,
) -> Iterable[tuple[StopMark, tuple[Box, ...]]]:
    """The bar and its number right of the circle, below, left or above, clear of lines first."""
    for mark in stops:
        if mark.level is None:
            continue
        around = boxes[mark.stop.id]
        width, height = measure(mark.level.text, LEVEL_STYLE)
        width, height = width + BAR_DP * sizes.dp, max(height, 16 * sizes.dp)
        aside = around.width_px / 2 + width / 2 + 4 * sizes.dp
        apart = around.height_px / 2 + height / 2 + 2 * sizes.dp
        shifts = ((aside, 0.0), (0.0, -apart), (-aside, 0.0), (0.0, apart))
        free = _free_boxes(around, width, height, shifts, viewport)
        yield mark, tuple(sorted(free, key=crossings.meet))


def _stops_and_names(
    stops: StopMarks,
    seen: IntArray,
    wanted_names: Iterable[tuple[SiteMark, tuple[Box, ...]]],
    viewport: Viewport,
    sizes: Sizes,
    taken: Sequence[Box],
) -> tuple[list[tuple[int, Box]], list[tuple[SiteMark, Box]]]:
    """Stops at their places, then names of sites, then the other stops aside of theirs."""
    own = place(stop_candidates(stops, seen, viewport, sizes), taken)
    full = [*taken, *(box for _, box in own)]
    names = place(wanted_names, full)
    full += [box for _, box in names]
    left = seen[~np.isin(seen, [index for index, _ in own])]
    aside = place(aside_candidates(stops, left, seen, viewport, sizes), full)
    return own + aside, names


def _drawn_levels(
    levels: Iterable[tuple[StopMark, Box]], viewport: Viewport, sizes: Sizes
) -> tuple[list[PlanText], tuple[tuple[StopMark, Point], ...], list[tuple[Point, Box]]]:
    """The levels' words, the bars before them, and the clear ground below the words."""
    texts, bars, plates = [], [], []
    bar_px = BAR_DP * sizes.dp
    for mark, box in levels:
        text = _beside(mark, mark.level.text, LEVEL_STYLE, box, viewport, bar_px / 2)
        dx, dy = text.shift_px
        texts.append(text)
        plates.append((mark.at, Box(dx, dy, box.width_px - bar_px, box.height_px)))
        bars.append((mark, (dx - box.width_px / 2 - bar_px / 2 + 8.5 * sizes.dp, dy)))
    return texts, tuple(bars), plates


def _plates_at(
    told: Iterable[tuple[FindingLabel, Box]], viewport: Viewport, sizes: Sizes
) -> Iterable[tuple[Point, Box]]:
    """Clear ground below the values of outlines, and within the corners of a stand."""
    for label, box in told:
        side_px = LETTER_DP * sizes.dp
        size = (side_px, side_px) if label.is_stand else (box.width_px, box.height_px)
        yield viewport.to_plane(box.x_px, box.y_px), Box(0.0, 0.0, *size)


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


def _number(mark: StopMark, current_stop_id: str, aside: Mapping[str, Point]) -> PlanText:
    style = CURRENT_STYLE if mark.stop.id == current_stop_id else NUMBER_STYLE
    return PlanText(str(mark.stop.number), *mark.at, style, aside.get(mark.stop.id, (0.0, 0.0)))
