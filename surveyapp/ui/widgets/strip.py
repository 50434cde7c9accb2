"""The expectation strip: a value against what was expected, over the value's whole range.

Our own sign: a horizontal rule over the physical range, a band for the expected value with
one and two standard deviations (an uneven one has no second, and a line at the likeliest), a
tick for what was measured, and the numbers in text.
"""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Line, Rectangle, Triangle
from kivy.metrics import dp
from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget

from surveyapp.ui.answer_words import Expectation
from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets import text  # noqa: F401

TICK = 5  # half width of the tick's head, dp


class StripDrawing(Widget):
    """The drawing alone. `measured` None draws no tick."""

    low = NumericProperty(0)
    high = NumericProperty(1)
    expected = NumericProperty(None, allownone=True)
    near = ObjectProperty(None, allownone=True)
    far = ObjectProperty(None, allownone=True)
    measured = NumericProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        soon = Clock.create_trigger(self.draw, -1)  # once a frame, however much changes
        self.bind(pos=soon, size=soon, low=soon, high=soon, expected=soon)
        self.bind(near=soon, far=soon, measured=soon)
        theme.bind(ink=self.draw)

    def show(self, given: Expectation) -> None:
        """Draw this value."""
        self.low, self.high = given.low, given.high
        self.expected, self.near, self.far = given.expected, given.near, given.far
        self.measured = given.measured

    def place(self, value: float) -> float:
        """Where a value stands on the strip, in pixels, kept within its ends."""
        share = (value - self.low) / (self.high - self.low)
        return self.x + self.width * min(max(share, 0.0), 1.0)

    def draw(self, *_: Any) -> None:
        """Draw rule, band and tick."""
        self.canvas.clear()
        with self.canvas:
            if self.far is not None:
                self._band(self.far, theme.band_far)
            if self.near is not None:
                self._band(self.near, theme.band_near)
                if self.far is None:
                    self._band((self.expected, self.expected), theme.line)
            Color(*theme.line)
            y = self.y + dp(1)
            Line(points=[self.x, y, self.right, y], width=dp(0.8))
            for end in (self.x, self.right):
                Line(points=[end, self.y, end, self.y + dp(6)], width=dp(0.8))
            if self.measured is not None:
                self._tick(self.place(self.measured))

    def _band(self, band: tuple[float, float], colour: Any) -> None:
        left, right = map(self.place, band)
        bottom, height = self.y + dp(1), self.height - dp(8)
        Color(*colour)
        Rectangle(pos=(left, bottom), size=(right - left, height))
        Color(*theme.line)
        for edge in (left, right):
            Line(points=[edge, bottom, edge, bottom + height], width=dp(0.6))

    def _tick(self, x: float) -> None:
        Color(*theme.ink)
        Line(points=[x, self.y, x, self.top], width=dp(1.2))
        head = dp(TICK)
        Triangle(points=[x - head, self.top, x + head, self.top, x, self.top - head * 1.4])


class ExpectationStrip(BoxLayout):
    """The drawing with its sentence below. Set `expectation` (see `answer_words`)."""

    expectation = ObjectProperty(None, allownone=True)
    text = StringProperty("")

    def on_expectation(self, *_: Any) -> None:
        """Hand the numbers to the drawing."""
        if self.expectation is not None:
            self.text = self.expectation.text
            self.ids.drawing.show(self.expectation)


load_kv(__file__)
