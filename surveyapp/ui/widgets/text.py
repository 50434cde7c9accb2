"""Text of the page: wrapping labels that grow with their content and never clip it."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from kivy.core.text import Label as CoreLabel
from kivy.metrics import Metrics
from kivy.properties import NumericProperty, StringProperty
from kivy.uix.label import Label

from surveyapp.ui.theme import font_of, load_kv, theme


class Text(Label):
    """A paragraph, as wide as its place, as high as its words."""


class SoftText(Text):
    """Text of second rank: labels, hints, attributions."""


class Value(Text):
    """A value: larger than the text around it."""


class Heading(Text):
    """The heading of a part of a page."""


class MeasuredWord:
    """Mixin: `word_width` is the width of `text` on one line, in pixels, at 16 sp."""

    text = StringProperty("")
    word_width = NumericProperty(0)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        Metrics.bind(sp=self.measure)
        theme.bind(tr=self.measure)

    def on_text(self, *_: Any) -> None:
        """Measure the new word."""
        self.measure()

    def measure(self, *_: Any) -> None:
        """Take the width of the word as it stands on one line."""
        self.word_width = width_of(theme.tr(self.text), 16 * Metrics.sp) + 1


@lru_cache(maxsize=512)
def width_of(words: str, size: float) -> float:
    """The width of words on one line in bold type of this size, in pixels."""
    return CoreLabel(font_name=font_of(words), font_size=size, bold=True).get_extents(words)[0]


load_kv(__file__)
