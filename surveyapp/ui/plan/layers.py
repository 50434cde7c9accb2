"""Layers of the plan on the canvas: meshes built once, moved by two numbers."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import Any

import numpy as np
from kivy.graphics import Color, InstructionGroup, Mesh, RenderContext
from kivy.graphics.tesselator import TYPE_POLYGONS, WINDING_ODD, Tesselator
from numpy.typing import NDArray

from surveyapp.ui.plan import shaders
from surveyapp.ui.plan.strokes import Strokes
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.tokens import rgba

FloatArray = NDArray[np.float64]
ALL = object()  # every part of a layer
MESH_TRIANGLES = 21_845  # 65,535 corners


class Layer(InstructionGroup):
    """One shader's worth of the drawing, in parts by their key; hidden below `from_px_per_m`.

    `begin` a part, then draw into it; only the parts that `show_only` names are seen.
    """

    vertex = ""
    fragment = ""

    def __init__(self, from_px_per_m: float = 0.0) -> None:
        super().__init__()
        self.from_px_per_m = from_px_per_m
        self.switched_on = True
        self.context = RenderContext(
            use_parent_projection=True,
            use_parent_modelview=True,
            use_parent_frag_modelview=True,
            vs=self.vertex,
            fs=self.fragment,
        )
        self.shown = False
        self._parts: dict[Hashable, InstructionGroup] = {}
        self._colours: dict[Hashable, list[tuple[Color, str, float]]] = {}
        self._seen: set[Hashable] = set()
        self._open: Hashable = None

    def look(self, viewport: Viewport, pos: Sequence[float]) -> None:
        """Draw as seen through this viewport, its lower left corner at `pos`."""
        shown = self.switched_on and self.shows(viewport.px_per_m)
        if shown:
            x_px, y_px = viewport.offset_px
            self.context["plan_scale"] = float(viewport.px_per_m)
            self.context["plan_offset"] = (x_px + pos[0], y_px + pos[1])
        if shown != self.shown:
            (self.add if shown else self.remove)(self.context)
            self.shown = shown

    def shows(self, px_per_m: float) -> bool:
        """Whether the scale is large enough for it."""
        return px_per_m >= self.from_px_per_m

    def holds(self, key: Hashable) -> bool:
        """Whether this part was begun."""
        return key in self._parts

    def wipe(self) -> None:
        """Take everything off the layer."""
        self.context.clear()
        self._parts.clear()
        self._colours.clear()
        self._seen.clear()

    def begin(self, key: Hashable = None) -> None:
        """What follows belongs to this part, which starts empty and is seen."""
        self.forget(key)
        self._open = key
        self._parts[key], self._colours[key] = InstructionGroup(), []
        self._show(key)

    def forget(self, key: Hashable) -> None:
        """Take a part off for good."""
        if key in self._parts:
            self._hide(key)
            del self._parts[key], self._colours[key]

    def show_only(self, keys: Iterable[Hashable]) -> None:
        """Of the parts there are only these are seen."""
        wanted = set(keys)
        for key in self._seen - wanted:
            self._hide(key)
        for key in self._parts:
            if key in wanted:
                self._show(key)

    def put(self, instruction: Any) -> None:
        """Add to the part that was begun last."""
        if self._open not in self._parts:
            self.begin(self._open)
        self._parts[self._open].add(instruction)

    def ink(self, role: str, opacity: float = 1.0) -> None:
        """What follows is drawn in this colour: a role of the theme, or '#rrggbb' itself."""
        colour = Color(*rgba(role)[:3], opacity) if role.startswith("#") else Color(1, 1, 1, 1)
        self.put(colour)
        if not role.startswith("#"):
            self._colours[self._open].append((colour, role, opacity))

    def recolour(self, theme: Any, part: Hashable = ALL) -> None:
        """Take the colours of the theme, in all parts or in one."""
        held = self._colours.values() if part is ALL else [self._colours.get(part, [])]
        for colours in held:
            for colour, role, opacity in colours:
                colour.rgba = (*getattr(theme, role)[:3], opacity)

    def _show(self, key: Hashable) -> None:
        if key not in self._seen:
            self.context.add(self._parts[key])
            self._seen.add(key)

    def _hide(self, key: Hashable) -> None:
        if key in self._seen:
            self.context.remove(self._parts[key])
            self._seen.discard(key)


class StrokeLayer(Layer):
    """Lines, rings and dots."""

    vertex = shaders.STROKE_VERTEX
    fragment = shaders.STROKE_FRAGMENT

    def draw(self, strokes: Strokes, role: str, opacity: float = 1.0) -> None:
        """Add strokes in a colour of the theme."""
        self.ink(role, opacity)
        for vertices, indices in strokes.meshes():
            self.put(
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
            self.put(
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
