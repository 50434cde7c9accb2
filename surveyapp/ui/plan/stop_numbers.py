"""Which stops get their number on the plan, where, and which stand behind another one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from surveyapp.ui.plan.ink import Sizes
from surveyapp.ui.plan.labels import Box
from surveyapp.ui.plan.marks import StopMark
from surveyapp.ui.plan.stop_marks import StopMarks
from surveyapp.ui.plan.viewport import Viewport

MOST_BEHIND = 200  # stops behind one circle that are told one by one
FEW_STOPS = 60  # in sight, of so many none needs to stand behind another
FARTHEST_ASIDE_M = 120.0  # a circle led farther from its stop would tell of another corner
ASIDE = (2.3, 3.4, 4.5)  # radii by which a circle that finds its place taken stands aside
Point = tuple[float, float]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]


def in_sight(stops: StopMarks, viewport: Viewport, current_stop_id: str) -> IntArray:
    """Indexes of the stops within the window, the current one first, then the latest."""
    west, south, east, north = viewport.box_m
    inside = ((stops.at_m >= (west, south)) & (stops.at_m <= (east, north))).all(axis=1)
    seen = np.flatnonzero(inside)[::-1]
    current = seen == stops.position(current_stop_id)
    return np.concatenate([seen[current], seen[~current]])


def stop_candidates(
    stops: StopMarks, seen: IntArray, viewport: Viewport, sizes: Sizes
) -> Iterable[tuple[int, tuple[Box, ...]]]:
    """Each stop whose number could find room: one at most in each square of its size."""
    across_px = 2 * sizes.stop_px
    places = np.column_stack(viewport.to_window(*stops.at_m[seen].T))
    _, first = np.unique(_squares(places, across_px), return_index=True)
    for nth in np.sort(first).tolist():
        x_px, y_px = places[nth].tolist()
        yield int(seen[nth]), (Box(x_px, y_px, across_px, across_px),)


def aside_candidates(
    stops: StopMarks, left: IntArray, seen: IntArray, viewport: Viewport, sizes: Sizes
) -> Iterable[tuple[int, tuple[Box, ...]]]:
    """Where the stops `left` of a few `seen` may stand aside of their taken places."""
    near = ASIDE[-1] * sizes.stop_px <= FARTHEST_ASIDE_M * viewport.px_per_m
    across_px, size = 2 * sizes.stop_px, (viewport.width_px, viewport.height_px)
    for index in left.tolist() if near and len(seen) <= FEW_STOPS else ():
        x_px, y_px = viewport.to_window(*stops.at_m[index].tolist())
        around = (Box(x_px + dx, y_px + dy, across_px, across_px) for dx, dy in _rings(sizes))
        yield index, tuple(box for box in around if box.lies_in(*size))


def _rings(sizes: Sizes) -> Iterable[Point]:
    """Where a circle may stand aside: around its stop, the nearest first."""
    for radii in ASIDE:
        for turn in np.radians(np.arange(45.0, 405.0, 45.0)).tolist():
            yield radii * sizes.stop_px * sin(turn), radii * sizes.stop_px * cos(turn)


def aside_of(
    numbered: Iterable[StopMark], boxes: Mapping[str, Box], viewport: Viewport
) -> dict[str, Point]:
    """By how many pixels circles stand off their stops, by the id of the stop."""
    found = {}
    for mark in numbered:
        (x, y), box = viewport.to_window(*mark.at), boxes[mark.stop.id]
        if abs(box.x_px - x) + abs(box.y_px - y) > 1.0:
            found[mark.stop.id] = (box.x_px - x, box.y_px - y)
    return found


def clusters_behind(
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
