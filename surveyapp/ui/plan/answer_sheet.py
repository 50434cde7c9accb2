"""The figures behind an answer: a list, and for a way its chance of cover as a strip."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.graphics import Color, Line, Rectangle
from kivy.metrics import dp
from kivy.properties import ListProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.widget import Widget

from surveyapp.ui.plan.answers import Answer, ChanceStrip
from surveyapp.ui.plan.cards import length_text
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets import row_list  # noqa: F401
from surveyapp.ui.words import share


class WayStrip(Widget):
    """Chance of cover (upwards) along a way (to the right); gaps are hatched below the line."""

    strip = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        soon = Clock.create_trigger(self._draw, -1)
        self.bind(pos=soon, size=soon, strip=soon)
        theme.bind(name=soon)

    def _draw(self, *_: Any) -> None:
        self.canvas.clear()
        strip: ChanceStrip | None = self.strip
        if strip is None:
            return
        with self.canvas:
            Color(*theme.band_far)
            for first, last in strip.gaps_m:
                left, right = self._x(first), self._x(last)
                Rectangle(pos=(left, self.y), size=(max(right - left, dp(2)), self.height))
            Color(*theme.ink)
            for first, last in strip.gaps_m:
                self._hatch(self._x(first), max(self._x(last), self._x(first) + dp(2)))
            Color(*theme.line)
            level = self._y(strip.required)
            Line(points=[self.x, level, self.right, level], width=dp(0.8))
            Line(points=[self.x, self.y, self.right, self.y], width=dp(0.8))
            Color(*theme.accent)
            points = [
                axis
                for along, chance in zip(strip.along_m, strip.chance, strict=True)
                for axis in (self._x(float(along)), self._y(float(chance)))
            ]
            Line(points=points, width=dp(1.4))
            Color(*theme.ink)
            for along, covered in strip.measured:
                x = self._x(along)
                low = self.y + (self.height * 0.5 if covered else 0.0)
                Line(points=[x, low, x, low + self.height * 0.5], width=dp(1.2))

    def _hatch(self, left: float, right: float) -> None:
        x = left
        while x < right:
            Line(points=[x, self.y, min(x + dp(6), right), self.y + dp(10)], width=dp(0.8))
            x += dp(6)

    def _x(self, along_m: float) -> float:
        return self.x + self.width * along_m / float(self.strip.along_m[-1])

    def _y(self, chance: float) -> float:
        return self.y + self.height * chance


class AnswerSheet(Sheet):
    """Shows an answer's figures; `show(row_id)` is called with a tapped row that has a place."""

    answer: Answer = ObjectProperty()
    items = ListProperty([])
    says = StringProperty("")
    strip_text = StringProperty("")
    required = NumericProperty(0)
    required_text = StringProperty("")
    ticks = ListProperty(["", "", ""])
    show = ObjectProperty()

    def on_answer(self, *_: Any) -> None:
        """Write it down."""
        self.title = self.answer.title
        self.says = "\n".join(self.answer.says)
        self.items = list(self.answer.figures)
        strip = self.answer.strip
        if strip is not None:
            self.strip_text = (
                f"Chance of cover along the way; hatched: below {share(strip.required)}. "
                "Uprights are readings beside the way: in the upper half where the level was "
                "reached, in the lower where not."
            )
            self.required = strip.required
            self.required_text = share(strip.required)
            ends = float(strip.along_m[-1])
            self.ticks = [length_text(part * ends) for part in (0.0, 0.5, 1.0)]

    def tapped(self, row: Any) -> None:
        """Go to what a row tells of, or take over what it offers; Undo gives the old one back."""
        if row.takes is not None:
            self.close()
            panel = f"panel {row.takes.label}".strip()
            self.session.save(row.takes, what=f"azimuth of {panel}")
            self.session.said.fire(f"Noted {row.value} for {panel}.", True)
        elif row.row_id:
            self.close()
            self.show(row.row_id)


load_kv(__file__)
