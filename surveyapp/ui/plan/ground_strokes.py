"""The ground as strokes: streets with an edge, paths, walls, lamps, signals, poles, trees."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from surveyapp.model import FurnitureKind
from surveyapp.ui.plan.ground_shapes import GroundShapes
from surveyapp.ui.plan.ink import Ink
from surveyapp.ui.plan.strokes import Pen, Strokes, ring_px

STREETS_FROM = 0.0  # pixels per metre from which each is drawn, at one pixel a dp
PATHS_FROM = 0.7
BUILDINGS_FROM = 0.16  # a house is three pixels wide
WALLS_FROM = 0.5
FURNITURE_FROM = 1.6
TREE_M = 5.0  # across, a street tree's crown; our choice


def edge_inks(shapes: GroundShapes, dp: float) -> Iterable[Ink]:
    """The streets' edges."""
    yield Ink("line", _carriageways(shapes, dp, 1.2 * dp, 0.7), 0.75)


def street_inks(shapes: GroundShapes, dp: float) -> Iterable[Ink]:
    """The streets' faces."""
    yield Ink("raised", _carriageways(shapes, dp))


def _carriageways(
    shapes: GroundShapes, dp: float, more_px: float = 0.0, more_m: float = 0.0
) -> Strokes:
    strokes = Strokes()
    for street in shapes.streets:
        narrow_px = dp if street.width_m < 7.0 else 2.0 * dp
        pen = Pen(narrow_px + more_px, street.width_m + more_m)
        strokes.lines(street.from_m, street.to_m, pen)
    return strokes


def path_inks(shapes: GroundShapes, dp: float) -> Iterable[Ink]:
    """Footways, cycleways and steps as one thin line."""
    strokes = Strokes()
    if shapes.paths is not None:
        strokes.lines(shapes.paths.from_m, shapes.paths.to_m, Pen(0.9 * dp))
    yield Ink("line", strokes, 0.55)


def wall_inks(shapes: GroundShapes, dp: float) -> Iterable[Ink]:
    """The outlines of buildings."""
    strokes = Strokes()
    rings = [ring for building in shapes.buildings for ring in building]
    if rings:
        starts = np.concatenate([ring[:-1] for ring in rings])
        strokes.lines(starts, np.concatenate([ring[1:] for ring in rings]), Pen(1.0 * dp))
    yield Ink("line", strokes, 0.8)


def furniture_inks(shapes: GroundShapes, dp: float) -> Iterable[Ink]:
    """A lamp is a ring, a signal an upright bar, a pole a dot, a tree a pale crown."""
    crowns, marks = Strokes(), Strokes()
    for kind, places in shapes.furniture.items():
        if kind is FurnitureKind.TREE:
            crowns.dots(places, 2.5 * dp, TREE_M / 2)
        elif kind is FurnitureKind.POLE:
            marks.dots(places, 2.0 * dp)
        elif kind is FurnitureKind.SIGNAL:
            marks.lines(places, places, Pen(3.2 * dp), (0.0, -3.5 * dp), (0.0, 3.5 * dp))
        else:
            for start, end in pairwise(ring_px(3.0 * dp)[::3]):
                marks.lines(places, places, Pen(1.3 * dp), start, end)
    yield Ink("band_far", crowns, 0.7)
    yield Ink("soft", marks)
