"""Outlines of equal value on a grid: marching squares in plain numpy.

The method of W. E. Lorensen and H. E. Cline (Computer Graphics 21 (4) 1987, 163-169) brought
down to a plane. Where a cell's corners alternate, its mean decides how the two lines run.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.errors import InvalidValue

IntArray = NDArray[np.intp]
# Sides of a cell: 0 south, 1 east, 2 north, 3 west. By corners at or above the level (1
# south-west, 2 south-east, 4 north-east, 8 north-west): the pairs of sides that lines join.
_PAIRS: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),),
    8: ((2, 3),), 9: ((2, 0),), 11: ((2, 1),), 12: ((1, 3),), 13: ((1, 0),), 14: ((0, 3),),
}  # fmt: skip
_SADDLES = {
    (5, True): ((0, 1), (2, 3)),
    (5, False): ((3, 0), (1, 2)),
    (10, True): ((3, 0), (1, 2)),
    (10, False): ((0, 1), (2, 3)),
}


def outlines(
    values: FloatArray, x: FloatArray, y: FloatArray, level: float
) -> tuple[FloatArray, ...]:
    """Polylines (k, 2) along which values (ny, nx) at (x, y) equal `level`.

    Closed ones repeat their first point; the others end at the border of the grid. Raises
    InvalidValue where the shapes do not fit or a value is no number.
    """
    values = np.asarray(values, dtype=np.float64)
    if values.shape != (len(y), len(x)) or min(values.shape, default=0) < 2:
        raise InvalidValue(
            "The grid's values do not fit its sides: give one row for each y, one column for "
            "each x, two or more of both.",
            value=values.shape,
            allowed=f"({len(y)}, {len(x)})",
        )
    if not np.isfinite(values).all():
        raise InvalidValue("The grid holds what is no number.", value=values, allowed="numbers")
    points = _crossings(values, np.asarray(x, float), np.asarray(y, float), level)
    return tuple(points[line] for line in _joined(_segments(values, level)))


def _crossings(values: FloatArray, x: FloatArray, y: FloatArray, level: float) -> FloatArray:
    """The point (sides, 2) where each side of the grid meets the level; sides as `_numbers`."""
    ny, nx = values.shape
    with np.errstate(divide="ignore", invalid="ignore"):
        across = (level - values[:, :-1]) / (values[:, 1:] - values[:, :-1])
        up = (level - values[:-1]) / (values[1:] - values[:-1])
        flat = np.stack([x[:-1] + across * np.diff(x), np.repeat(y[:, None], nx - 1, 1)], -1)
        steep = np.stack(
            [np.repeat(x[None], ny - 1, 0), y[:-1, None] + up * np.diff(y)[:, None]], -1
        )
    return np.concatenate([flat.reshape(-1, 2), steep.reshape(-1, 2)])


def _segments(values: FloatArray, level: float) -> IntArray:
    """Pairs (n, 2) of side numbers that a line joins within a cell."""
    ny, nx = values.shape
    above = values >= level
    kind = above[:-1, :-1] + 2 * above[:-1, 1:] + 4 * above[1:, 1:] + 8 * above[1:, :-1]
    mean = 0.25 * (values[:-1, :-1] + values[:-1, 1:] + values[1:, 1:] + values[1:, :-1])
    found: list[IntArray] = []

    def take(cells: NDArray[np.bool_], pairs: tuple[tuple[int, int], ...]) -> None:
        row, column = np.nonzero(cells)
        sides = (
            row * (nx - 1) + column,
            ny * (nx - 1) + row * nx + column + 1,
            (row + 1) * (nx - 1) + column,
            ny * (nx - 1) + row * nx + column,
        )
        found.extend(np.stack([sides[a], sides[b]], axis=1) for a, b in pairs)

    for number, pairs in _PAIRS.items():
        take(kind == number, pairs)
    for (number, high), pairs in _SADDLES.items():
        take((kind == number) & ((mean >= level) == high), pairs)
    return np.concatenate(found).astype(np.intp)


def _joined(segments: IntArray) -> list[list[int]]:
    """Side numbers in the order of each line, open lines first."""
    beside: dict[int, list[int]] = {}
    for a, b in segments.tolist():
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    lines = [_walk(beside, end) for end in [s for s, near in beside.items() if len(near) == 1]
             if beside[end]]  # fmt: skip
    for start in beside:
        if beside[start]:
            lines.append(_walk(beside, start))
    return lines


def _walk(beside: dict[int, list[int]], start: int) -> list[int]:
    """Follow a line from one side on, taking its segments away."""
    line = [start]
    while beside[line[-1]]:
        here = line[-1]
        there = beside[here].pop()
        beside[there].remove(here)
        line.append(there)
    return line
