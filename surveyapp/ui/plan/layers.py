"""Layers of the plan on the canvas: meshes built once, moved by two numbers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from kivy.graphics import Color, InstructionGroup, Mesh, RenderContext
from kivy.graphics.tesselator import TYPE_POLYGONS, WINDING_ODD, Tesselator
from numpy.typing import NDArray

from surveyapp.ui.plan import shaders
from surveyapp.ui.plan.strokes import Strokes
from surveyapp.ui.plan.viewport import Viewport

FloatArray = NDArray[np.float64]
MESH_TRIANGLES = 21_845  # 65,535 corners


class Layer(InstructionGroup):
    """One shader's worth of the drawing; hidden below `from_px_per_m`."""

    vertex = ""
    fragment = ""

    def __init__(self, from_px_per_m: float = 0.0) -> None:
        super().__init__()
        self.from_px_per_m = from_px_per_m
        self.context = RenderContext(
            use_parent_projection=True,
            use_parent_modelview=True,
            use_parent_frag_modelview=True,
            vs=self.vertex,
            fs=self.fragment,
        )
        self.colours: list[tuple[Color, str, float]] = []
        self.shown = False

    def look(self, viewport: Viewport, pos: Sequence[float]) -> None:
        """Draw as seen through this viewport, its lower left corner at `pos`."""
        x_px, y_px = viewport.offset_px
        self.context["plan_scale"] = float(viewport.px_per_m)
        self.context["plan_offset"] = (x_px + pos[0], y_px + pos[1])
        shown = viewport.px_per_m >= self.from_px_per_m
        if shown != self.shown:
            (self.add if shown else self.remove)(self.context)
            self.shown = shown

    def wipe(self) -> None:
        """Take everything off the layer."""
        self.context.clear()
        self.colours.clear()

    def ink(self, role: str, opacity: float = 1.0) -> None:
        """What follows is drawn in this colour of the theme."""
        colour = Color(1, 1, 1, 1)
        self.context.add(colour)
        self.colours.append((colour, role, opacity))

    def recolour(self, theme: Any) -> None:
        """Take the colours of the theme."""
        for colour, role, opacity in self.colours:
            colour.rgba = (*getattr(theme, role)[:3], opacity)


class StrokeLayer(Layer):
    """Lines, rings and dots."""

    vertex = shaders.STROKE_VERTEX
    fragment = shaders.STROKE_FRAGMENT

    def draw(self, strokes: Strokes, role: str, opacity: float = 1.0) -> None:
        """Add strokes in a colour of the theme."""
        self.ink(role, opacity)
        for vertices, indices in strokes.meshes():
            self.context.add(
                Mesh(
                    vertices=vertices,
                    indices=indices,
                    fmt=shaders.STROKE_FORMAT,
                    mode="triangles",
                )
            )


class FillLayer(Layer):
    """Filled polygons."""

    vertex = shaders.FILL_VERTEX
    fragment = shaders.FILL_FRAGMENT

    def draw(self, polygons: Iterable[Sequence[FloatArray]], role: str) -> None:
        """Add polygons, each a closed outline and its holes, in a colour of the theme."""
        self.ink(role)
        corners = _triangles(polygons)
        for start in range(0, len(corners), 3 * MESH_TRIANGLES):
            part = corners[start : start + 3 * MESH_TRIANGLES]
            self.context.add(
                Mesh(
                    vertices=part.astype(np.float32).ravel(),
                    indices=np.arange(len(part), dtype=np.uint16),
                    fmt=shaders.FILL_FORMAT,
                    mode="triangles",
                )
            )


def _triangles(polygons: Iterable[Sequence[FloatArray]]) -> FloatArray:
    """Corners of triangles, shape (3 * triangles, 2); a ring that crosses itself is no matter."""
    found: list[FloatArray] = []
    for rings in polygons:
        tesselator = Tesselator()
        for ring in rings:
            tesselator.add_contour(ring[:-1].ravel().tolist())
        if tesselator.tesselate(WINDING_ODD, TYPE_POLYGONS, 3):
            found.extend(np.asarray(corner).reshape(3, 2) for corner in tesselator.vertices)
    return np.concatenate(found) if found else np.zeros((0, 2))
