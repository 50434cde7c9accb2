"""Lines, rings and dots as arrays for the stroke shader: sizes in pixels, places in metres.

Each stroke runs from (a place + a shift in pixels) to (a place + a shift in pixels), so the
same array serves every scale; it is as thick as the larger of a width in pixels and one in
metres. One stroke is four corners of FLOATS numbers each, and two triangles.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

FLOATS = 14
MESH_STROKES = 16_383  # 65,532 corners: a mesh counts them in 16 bits
_CORNERS = np.array([(0.0, -1.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)])
_TRIANGLES = np.array([0, 1, 2, 0, 2, 3], dtype=np.uint16)


@dataclass(frozen=True, slots=True)
class Pen:
    """How thick (the larger of pixels and metres) and how dashed (pixels on, pixels in all)."""

    width_px: float
    width_m: float = 0.0
    dash_px: tuple[float, float] = (0.0, 0.0)


@dataclass(slots=True)
class Strokes:
    """Gathers strokes of one colour."""

    _blocks: list[FloatArray] = field(default_factory=list)

    def lines(
        self, from_m: ArrayLike, to_m: ArrayLike, pen: Pen,
        from_px: ArrayLike = (0.0, 0.0), to_px: ArrayLike = (0.0, 0.0),
    ) -> None:  # fmt: skip
        """Straight strokes; each argument of shape (2,) or (strokes, 2)."""
        ends = np.broadcast_arrays(
            *(np.atleast_2d(np.asarray(end, float)) for end in (from_m, from_px, to_m, to_px))
        )
        style = np.array([pen.width_px / 2, pen.width_m / 2, *pen.dash_px])
        self._blocks.append(np.hstack([*ends, np.tile(style, (len(ends[0]), 1))]))

    def line(self, points_m: ArrayLike, pen: Pen) -> None:
        """A polyline through places of shape (points, 2)."""
        points = np.asarray(points_m, float)
        if len(points) >= 2:
            self.lines(points[:-1], points[1:], pen)

    def shape(self, at_m: ArrayLike, points_px: ArrayLike, pen: Pen) -> None:
        """A polyline of shape (points, 2) in pixels about a place."""
        points = np.asarray(points_px, float)
        self.lines(at_m, at_m, pen, points[:-1], points[1:])

    def dots(self, at_m: ArrayLike, radius_px: float, radius_m: float = 0.0) -> None:
        """Filled discs at places of shape (2,) or (dots, 2)."""
        if np.size(at_m):
            self.lines(at_m, at_m, Pen(2 * radius_px, 2 * radius_m))

    def meshes(self) -> Iterable[tuple[NDArray[np.float32], NDArray[np.uint16]]]:
        """(corners, indices), both flat, in portions that a mesh can hold."""
        if not self._blocks:
            return
        strokes = np.vstack(self._blocks)
        for start in range(0, len(strokes), MESH_STROKES):
            part = strokes[start : start + MESH_STROKES]
            corners = np.concatenate(
                [
                    np.repeat(part[:, :8], 4, axis=0),
                    np.tile(_CORNERS, (len(part), 1)),
                    np.repeat(part[:, 8:], 4, axis=0),
                ],
                axis=1,
            )
            indices = _TRIANGLES + 4 * np.arange(len(part), dtype=np.uint16)[:, None]
            yield corners.astype(np.float32).ravel(), indices.astype(np.uint16).ravel()


def arc_px(radius_px: float, from_deg: float, to_deg: float) -> FloatArray:
    """Points in pixels on an arc, azimuths clockwise from up; a point each six degrees."""
    count = max(2, int(abs(to_deg - from_deg) / 6.0) + 2)
    turn = np.radians(np.linspace(from_deg, to_deg, count))
    return radius_px * np.column_stack([np.sin(turn), np.cos(turn)])


def ring_px(radius_px: float) -> FloatArray:
    """A closed circle in pixels."""
    turn = np.linspace(0.0, 2 * pi, 25)
    return radius_px * np.column_stack([np.sin(turn), np.cos(turn)])


def diamond_px(reach_px: float) -> FloatArray:
    """A closed square on its corner, in pixels."""
    return reach_px * np.array([(0, 1), (1, 0), (0, -1), (-1, 0), (0, 1)], float)


def square_px(half_px: float) -> FloatArray:
    """A closed upright square, in pixels."""
    return half_px * np.array([(-1, -1), (-1, 1), (1, 1), (1, -1), (-1, -1)], float)
