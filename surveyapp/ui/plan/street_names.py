"""Street names along their streets: where a name fits, how it is turned, how often it returns."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.ui.plan.labels import Box
from surveyapp.ui.plan.viewport import Viewport

FloatArray = NDArray[np.float64]
End = tuple[float, float]

KINDS_BY_WEIGHT = (
    *("motorway", "trunk", "primary", "secondary", "tertiary", "pedestrian", "unclassified"),
    *("residential", "living_street", "road", "busway", "service"),
    *("cycleway", "footway", "bridleway", "track", "path", "steps"),
)
STRAIGHT = 0.97  # chord over arc of a stretch that a straight word may stand on
EVERY_PX = 420.0  # the same name again after so long
ROOM = 1.15  # a stretch is longer than its word by this factor


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A street with a name, in the plane: `points_m` has shape (points, 2)."""

    name: str
    kind: str
    points_m: FloatArray


@dataclass(frozen=True, slots=True)
class NamePlace:
    """A name at a place of the plane, turned counter-clockwise by `turn_deg`."""

    name: str
    east_m: float
    north_m: float
    turn_deg: float


def joined(lines: Sequence[NamedLine]) -> list[NamedLine]:
    """Pieces of one name and kind, end to end, chained into longer lines."""
    by_name: dict[tuple[str, str], list[FloatArray]] = defaultdict(list)
    for line in lines:
        if line.name:
            by_name[line.name, line.kind].append(line.points_m)
    return [
        NamedLine(name, kind, chain)
        for (name, kind), pieces in by_name.items()
        for chain in _chains(pieces)
    ]


def name_places(
    lines: Sequence[NamedLine],
    viewport: Viewport,
    measure: Callable[[str], tuple[float, float]],
) -> Iterator[tuple[NamePlace, tuple[Box, ...]]]:
    """Candidate places of the names in sight, the weightiest streets first.

    `measure` gives (width_px, height_px) of a name. Lines come from `joined`.
    """
    west, south, east, north = viewport.box_m
    weight = {kind: order for order, kind in enumerate(KINDS_BY_WEIGHT)}
    seen = [
        line
        for line in lines
        if (line.points_m.max(axis=0) >= (west, south)).all()
        and (line.points_m.min(axis=0) <= (east, north)).all()
    ]
    for line in sorted(seen, key=lambda line: (weight.get(line.kind, 99), -_length(line.points_m))):
        width_px, height_px = measure(line.name)
        yield from _along(line, viewport, width_px, height_px)


def _along(
    line: NamedLine, viewport: Viewport, width_px: float, height_px: float
) -> Iterator[tuple[NamePlace, tuple[Box, ...]]]:
    points_px = line.points_m * viewport.px_per_m + viewport.offset_px
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points_px, axis=0).T))])
    need = width_px * ROOM
    if run[-1] < need:
        return
    count = max(1, int(run[-1] / EVERY_PX))
    for middle in (np.arange(count) + 0.5) * run[-1] / count:
        found = _straightest(points_px, run, float(middle), need, run[-1] / count)
        if found is None:
            continue
        start, end = found
        x, y = (start + end) / 2
        turn = float(np.degrees(np.arctan2(end[1] - start[1], end[0] - start[0])))
        turn = (turn + 90.0) % 180.0 - 90.0
        east_m, north_m = viewport.to_plane(float(x), float(y))
        box = Box(float(x), float(y), width_px, height_px, turn)
        if box.lies_in(viewport.width_px, viewport.height_px):
            yield NamePlace(line.name, east_m, north_m, turn), (box,)


def _straightest(
    points_px: FloatArray, run: FloatArray, middle: float, need: float, room: float
) -> tuple[FloatArray, FloatArray] | None:
    """The ends of the straightest stretch of length `need` in the `room` about `middle`."""
    first = max(0.0, middle - room / 2)
    last = min(float(run[-1]), middle + room / 2) - need
    best, best_ratio = None, STRAIGHT
    for start_at in np.linspace(first, max(first, last), 9):
        start, end = (_at(points_px, run, at) for at in (start_at, start_at + need))
        ratio = float(np.hypot(*(end - start))) / need
        if ratio > best_ratio + 1e-6:
            best, best_ratio = (start, end), ratio
    return best


def _at(points_px: FloatArray, run: FloatArray, at: float) -> FloatArray:
    return np.array([np.interp(at, run, points_px[:, axis]) for axis in (0, 1)])


def _length(points: FloatArray) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _chains(pieces: list[FloatArray]) -> list[FloatArray]:
    """Lines joined wherever the end of one is the end of another, to the centimetre."""
    left = {index: piece for index, piece in enumerate(pieces) if len(piece) >= 2}
    ends: dict[End, set[int]] = defaultdict(set)
    for index, piece in left.items():
        for end in (piece[0], piece[-1]):
            ends[_end(end)].add(index)
    chains = []
    while left:
        _, chain = left.popitem()
        ahead = _followed(chain, left, ends)
        back = _followed(ahead[::-1], left, ends)
        chains.append(back)
    return chains


def _followed(
    chain: FloatArray, left: dict[int, FloatArray], ends: dict[End, set[int]]
) -> FloatArray:
    """The chain with all that can be put to its last end, taken out of `left`."""
    parts = [chain]
    while True:
        last = parts[-1][-1]
        found = next((index for index in sorted(ends[_end(last)]) if index in left), None)
        if found is None:
            return np.concatenate(parts)
        piece = left.pop(found)
        turned = piece if _end(piece[0]) == _end(last) else piece[::-1]
        parts.append(turned[1:])


def _end(point: FloatArray) -> End:
    return round(float(point[0]), 2), round(float(point[1]), 2)
