"""Where words may stand: in order of weight, each only where it covers no other."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, floor, radians, sin
from typing import TypeVar

SIDE_PX = 64.0  # of the grid in which neighbours are looked for


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle about (x_px, y_px), turned counter-clockwise by `turn_deg`."""

    x_px: float
    y_px: float
    width_px: float
    height_px: float
    turn_deg: float = 0.0

    def axes(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """The unit vectors along its width and its height."""
        turn = radians(self.turn_deg)
        return (cos(turn), sin(turn)), (-sin(turn), cos(turn))

    def reach(self, axis: tuple[float, float]) -> float:
        """Half its extent along a unit vector."""
        return sum(
            half * abs(own[0] * axis[0] + own[1] * axis[1])
            for half, own in zip((self.width_px / 2, self.height_px / 2), self.axes(), strict=True)
        )

    def lies_in(self, width_px: float, height_px: float) -> bool:
        """Whether all of it lies in a window with its corner at (0, 0)."""
        across, up = self.reach((1.0, 0.0)), self.reach((0.0, 1.0))
        return across <= self.x_px <= width_px - across and up <= self.y_px <= height_px - up


def overlap(one: Box, other: Box) -> bool:
    """Whether two rectangles share more than an edge (separating axes)."""
    away = (other.x_px - one.x_px, other.y_px - one.y_px)
    return all(
        abs(away[0] * axis[0] + away[1] * axis[1]) < one.reach(axis) + other.reach(axis) - 1e-9
        for axis in (*one.axes(), *other.axes())
    )


Label = TypeVar("Label")


def place(
    wanted: Iterable[tuple[Label, tuple[Box, ...]]], taken: Iterable[Box] = ()
) -> list[tuple[Label, Box]]:
    """Each label at the first of its boxes that is free; those without one are left out.

    Labels come in order of weight. `taken` are rectangles that no label may cover.
    """
    full = _Full()
    for box in taken:
        full.add(box)
    placed: list[tuple[Label, Box]] = []
    for label, boxes in wanted:
        free = next((box for box in boxes if full.leaves_room(box)), None)
        if free is not None:
            full.add(free)
            placed.append((label, free))
    return placed


class _Full:
    """Rectangles by the squares of a grid they touch, so that only neighbours are compared."""

    def __init__(self) -> None:
        self._held: dict[tuple[int, int], list[Box]] = {}

    def add(self, box: Box) -> None:
        for square in _squares(box):
            self._held.setdefault(square, []).append(box)

    def leaves_room(self, box: Box) -> bool:
        held = self._held
        return not any(
            overlap(box, other) for square in _squares(box) for other in held.get(square, ())
        )


def _squares(box: Box) -> list[tuple[int, int]]:
    across, up = box.reach((1.0, 0.0)), box.reach((0.0, 1.0))
    columns = range(floor((box.x_px - across) / SIDE_PX), floor((box.x_px + across) / SIDE_PX) + 1)
    rows = range(floor((box.y_px - up) / SIDE_PX), floor((box.y_px + up) / SIDE_PX) + 1)
    return [(column, row) for column in columns for row in rows]
