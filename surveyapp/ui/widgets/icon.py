"""Outline icons, drawn as strokes from `assets/icons.json`; never shown without a word."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Ellipse, Line, PopMatrix, PushMatrix, Scale, Translate
from kivy.metrics import dp
from kivy.properties import ColorProperty, NumericProperty, StringProperty
from kivy.uix.widget import Widget

from surveyapp.resources import shipped
from surveyapp.ui.theme import load_kv

GRID = 24
STROKE = 2.3  # in dp


@cache
def strokes() -> dict[str, Any]:
    """The table of icons by name, as the file gives it."""
    table: dict[str, Any] = json.loads(shipped("assets", "icons.json").read_text(encoding="utf-8"))
    return {name: parts for name, parts in table.items() if name != "_"}


class Icon(Widget):
    """One icon by `name`; an empty name takes no room."""

    name = StringProperty("")
    ink = ColorProperty()
    side = NumericProperty(dp(24))

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._colour: Color | None = None
        self._shift: Translate | None = None
        draw_soon = Clock.create_trigger(self.draw, -1)
        self.bind(name=draw_soon, side=draw_soon)
        self.bind(pos=self.place, size=self.place, ink=self.place)  # its strokes stay
        draw_soon()

    def draw(self, *_: Any) -> None:
        """Draw the strokes afresh, scaled from the grid to the icon's size."""
        self.canvas.clear()
        self._colour = self._shift = None
        parts = strokes().get(self.name)
        if parts is None:
            return
        with self.canvas:
            self._colour = Color(*self.ink)
            PushMatrix()
            self._shift = Translate(0, 0, 0)
            Scale(self.side / GRID, self.side / GRID, 1)
            self._strokes(parts)
            PopMatrix()
        self.place()

    def place(self, *_: Any) -> None:
        """Stand in the middle of its room, in its colour."""
        if self._colour is not None and self._shift is not None:
            self._colour.rgba = self.ink
            self._shift.xy = self.center_x - self.side / 2, self.center_y - self.side / 2

    def _strokes(self, parts: dict[str, Any]) -> None:
        width = STROKE * GRID / self.side * dp(0.5)
        for points in parts.get("lines", ()):
            Line(points=points, width=width, joint="round", cap="round")
        for x, y, radius in parts.get("circles", ()):
            Line(circle=(x, y, radius), width=width)
        for x, y, radius, start, end in parts.get("arcs", ()):
            Line(circle=(x, y, radius, start, end), width=width)
        for x, y, radius in parts.get("dots", ()):
            Ellipse(pos=(x - radius, y - radius), size=(2 * radius, 2 * radius))


load_kv(__file__)
