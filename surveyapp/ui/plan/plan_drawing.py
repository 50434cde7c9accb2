"""The stack of layers that makes the plan, from the ground up to the names of sites."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from operator import is_
from typing import Any

from surveyapp.ui.plan.finding_strokes import finding_inks
from surveyapp.ui.plan.findings import Finding
from surveyapp.ui.plan.ground_drawing import GroundDrawing
from surveyapp.ui.plan.ink import Ink, Sizes
from surveyapp.ui.plan.labels import Box
from surveyapp.ui.plan.layers import StrokeLayer
from surveyapp.ui.plan.mark_strokes import mark_inks, pointer_inks
from surveyapp.ui.plan.marks import Place, PlanMarks
from surveyapp.ui.plan.picture_drawing import PictureLayer
from surveyapp.ui.plan.plan_text import PlanText
from surveyapp.ui.plan.points import Points, point_inks
from surveyapp.ui.plan.text_layer import TextLayer, measure
from surveyapp.ui.plan.viewport import Viewport
from surveyapp.ui.plan.words import NAME_STYLE, MarkWords, beam_boxes, mark_words, street_words


class PlanDrawing:
    """Draws a ground, marks and findings; `dp` and `sp` are pixels per dp and per sp."""

    def __init__(self, dp: float, sp: float) -> None:
        self.dp = dp
        self.sp = sp
        self.picture = PictureLayer(dp)
        self.ground = GroundDrawing(dp)
        self.street_names = TextLayer()
        self.points = StrokeLayer()
        self.findings = StrokeLayer()
        self.marks = StrokeLayer()
        self.pointer = StrokeLayer()
        self.mark_names = TextLayer()
        self.words = MarkWords()
        self.reserved: tuple[Box, ...] = ()
        self._points = Points.of(PlanMarks())
        self.forget()

    @property
    def layers(self) -> tuple[Any, ...]:
        """From the lowest to the uppermost."""
        return (
            self.picture,
            *self.ground.layers, self.street_names, self.findings, self.points, self.marks,
            self.mark_names, self.pointer,
        )  # fmt: skip

    @property
    def comes_in_pieces(self) -> tuple[Any, ...]:
        """What is loaded as it comes into sight."""
        return self.ground, self.picture

    def want(self, viewport: Viewport) -> bool:
        """Show what is loaded of what comes into sight; whether any is still to be loaded."""
        lacks = [part.want(viewport) for part in self.comes_in_pieces]
        return any(lacks)

    def switch(self, hidden: Collection[str]) -> None:
        """Leave out the layers of these names; nothing that is filled covers a picture."""
        ground = self.ground
        self.picture.switched_on = "picture" not in hidden
        pictured = self.picture.has_file and self.picture.switched_on
        ground.streets.switched_on = not pictured
        ground.buildings.switched_on = not pictured and "buildings" not in hidden
        ground.walls.switched_on = "buildings" not in hidden
        ground.furniture.switched_on = "furniture" not in hidden
        self.street_names.switched_on = "names" not in hidden

    def take(self, marks: PlanMarks) -> None:
        """Other marks from now on; they are drawn by `draw_marks`."""
        self._points = Points.of(marks)

    def draw_marks(
        self,
        marks: PlanMarks,
        finding: Finding,
        current_stop_id: str,
        viewport: Viewport,
        theme: Any,
    ) -> None:
        """Draw the marks and all words, as they fit into this viewport, unless they stand there."""
        streets = self.ground.names
        things, look = (
            (marks, finding, streets),
            (current_stop_id, viewport, self.reserved, self.sp, theme.name),
        )
        if all(map(is_, things, self._drawn[0])) and look == self._drawn[1]:
            return
        self._drawn = (things, look)
        sizes = Sizes(self.dp, self.sp, viewport.px_per_m)
        self.words = words = mark_words(
            marks, viewport, sizes, current_stop_id, measure, finding.labels, self.reserved,
            [line.points_m for line in finding.lines],
        )  # fmt: skip
        taken = (*words.boxes, *beam_boxes(marks.sites, viewport, sizes))
        names = street_words(streets, viewport, taken, lambda name: measure(name, NAME_STYLE))
        self.points.wipe()
        _draw(self.points, point_inks(self._points, viewport, self.dp))
        self.points.recolour(theme)
        self.findings.wipe()
        _draw(self.findings, finding_inks(finding, sizes))
        self.findings.recolour(theme)
        self.marks.wipe()
        _draw(self.marks, mark_inks(marks, sizes, words, current_stop_id))
        self.marks.recolour(theme)
        self.mark_names.write(words.texts, theme)
        self.street_names.write(names, theme)

    def forget(self) -> None:
        """What was drawn is lost: the next `draw_marks` draws all of it."""
        self._drawn = ((None, None, None), ())

    def point_out(self, cross: Sequence[float], line: Sequence[Place], theme: Any) -> None:
        """Point out a place, and draw the line that is being measured."""
        self.pointer.wipe()
        _draw(self.pointer, pointer_inks(cross, line, self.dp))
        self.pointer.recolour(theme)

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
    layer.begin()
    for ink in inks:
        layer.draw(ink.strokes, ink.role, ink.opacity)
