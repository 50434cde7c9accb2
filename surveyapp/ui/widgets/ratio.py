"""Ratios on one common scale: a dot for each pair, the mean as a diamond with its interval."""

from __future__ import annotations

import math
from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Ellipse, Line, Quad
from kivy.metrics import dp
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from surveyapp.ui.compared import RatioRow
from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets import text  # noqa: F401

DOT, DIAMOND = 5, 7  # half sizes, dp


class RatioDrawing(Widget):
    """One ratio between 1/`reach` and `reach` on a logarithmic rule with a stroke at 1."""

    ratio = NumericProperty(1)
    low = NumericProperty(1)
    high = NumericProperty(1)
    reach = NumericProperty(2)
    mean = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        soon = Clock.create_trigger(self.draw, -1)
        self.bind(pos=soon, size=soon, ratio=soon, low=soon, high=soon, reach=soon, mean=soon)
        theme.bind(ink=self.draw)

    def place(self, ratio: float) -> float:
        """Where a ratio stands, in pixels."""
        share = 0.5 + 0.5 * math.log(ratio) / math.log(self.reach)
        inset = dp(DIAMOND)
        return self.x + inset + (self.width - 2 * inset) * min(max(share, 0.0), 1.0)

    def draw(self, *_: Any) -> None:
        """Draw rule, stroke and mark."""
        y, one, at = self.center_y, self.place(1.0), self.place(self.ratio)
        self.canvas.clear()
        with self.canvas:
            Color(*theme.line)
            Line(points=[self.place(1 / self.reach), y, self.place(self.reach), y], width=dp(0.6))
            Color(*theme.ink)
            Line(points=[one, self.y, one, self.top], width=dp(0.8))
            Color(*theme.accent)
            if self.mean:
                Line(points=[self.place(self.low), y, self.place(self.high), y], width=dp(2))
                half = dp(DIAMOND)
                Quad(points=[at - half, y, at, y + half, at + half, y, at, y - half])
            else:
                Ellipse(pos=(at - dp(DOT), y - dp(DOT)), size=(dp(2 * DOT), dp(2 * DOT)))


class RatioLine(BoxLayout):
    """The numbers of a ratio with its drawing below."""

    row: RatioRow | None = ObjectProperty(None, allownone=True)
    reach = NumericProperty(2)
    text = StringProperty("")

    def on_row(self, *_: Any) -> None:
        """Hand the numbers to the drawing."""
        given, drawing = self.row, self.ids.drawing
        self.text = given.text
        drawing.ratio, drawing.low, drawing.high = given.ratio, given.low, given.high
        drawing.mean = given.mean


load_kv(__file__)
