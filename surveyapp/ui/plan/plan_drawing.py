"""The stack of layers that makes the plan, from the ground up to the names of sites."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from surveyapp.ui.plan import ground_strokes
from surveyapp.ui.plan.ground_shapes import GroundShapes
from surveyapp.ui.plan.layers import FillLayer, StrokeLayer
from surveyapp.ui.plan.mark_strokes import Ink, Sizes, mark_inks, pointer_inks
from surveyapp.ui.plan.marks import Place, PlanMarks
from surveyapp.ui.plan.plan_text import PlanText
from surveyapp.ui.plan.text_layer import TextLayer, measure
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.plan.words import NAME_STYLE, mark_words, street_words


class PlanDrawing:
    """Draws a ground and marks; `dp` and `sp` are pixels per dp and per sp."""

    def __init__(self, dp: float, sp: float) -> None:
        self.dp = dp
        self.sp = sp
        self.buildings = FillLayer(ground_strokes.BUILDINGS_FROM * dp)
        self.walls = StrokeLayer(ground_strokes.WALLS_FROM * dp)
        self.paths = StrokeLayer(ground_strokes.PATHS_FROM * dp)
        self.streets = StrokeLayer(ground_strokes.STREETS_FROM * dp)
        self.furniture = StrokeLayer(ground_strokes.FURNITURE_FROM * dp)
        self.street_names = TextLayer()
        self.marks = StrokeLayer()
        self.pointer = StrokeLayer()
        self.mark_names = TextLayer()
        self._shapes = GroundShapes()

    @property
    def layers(self) -> tuple[Any, ...]:
        """From the lowest to the uppermost."""
        return (
            self.paths, self.streets, self.buildings, self.walls, self.furniture,
            self.street_names, self.marks, self.mark_names, self.pointer,
        )  # fmt: skip

    def draw_ground(self, shapes: GroundShapes) -> None:
        """Build the meshes of another ground; the words come with the marks."""
        self._shapes = shapes
        for layer in (self.buildings, self.walls, self.paths, self.streets, self.furniture):
            layer.wipe()
        self.buildings.draw(shapes.buildings, "pressed")
        _draw(self.walls, [ground_strokes.wall_ink(shapes, self.dp)])
        _draw(self.paths, [ground_strokes.path_ink(shapes, self.dp)])
        _draw(self.streets, ground_strokes.street_inks(shapes, self.dp))
        _draw(self.furniture, ground_strokes.furniture_inks(shapes, self.dp))

    def draw_marks(
        self, marks: PlanMarks, current_stop_id: str, viewport: Viewport, theme: Any
    ) -> None:
        """Draw the marks and all words, as they fit into this viewport."""
        sizes = Sizes(self.dp, self.sp, viewport.px_per_m)
        words = mark_words(marks, viewport, sizes, current_stop_id, measure)
        names = street_words(
            self._shapes.names, viewport, words.boxes, lambda name: measure(name, NAME_STYLE)
        )
        self.marks.wipe()
        _draw(self.marks, mark_inks(marks, sizes, words.numbered, current_stop_id))
        self.marks.recolour(theme)
        self.mark_names.write(words.texts, theme)
        self.street_names.write(names, theme)

    def point_out(self, cross: Sequence[float], line: Sequence[Place], theme: Any) -> None:
        """Point out a place, and draw the line that is being measured."""
        self.pointer.wipe()
        _draw(self.pointer, pointer_inks(cross, line, self.dp))
        self.pointer.recolour(theme)

    @property
    def ground_box_m(self) -> tuple[float, float, float, float] | None:
        """(west, south, east, north) of the ground that is drawn, or None."""
        return self._shapes.box_m()

    def look(self, viewport: Viewport, pos: Sequence[float]) -> None:
        """Show what this viewport sees, its lower left corner at `pos`."""
        for layer in self.layers:
            layer.look(viewport, pos)

    def recolour(self, theme: Any) -> None:
        """Take the colours of the theme; words follow when they are next placed."""
        for layer in self.layers:
            layer.recolour(theme)

    @property
    def texts(self) -> list[PlanText]:
        """Every word on the plan."""
        return [*self.street_names.texts, *self.mark_names.texts]


def _draw(layer: StrokeLayer, inks: Iterable[Ink]) -> None:
    for ink in inks:
        layer.draw(ink.strokes, ink.role, ink.opacity)
