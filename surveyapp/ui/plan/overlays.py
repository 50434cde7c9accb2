"""What lies on the plan and does not move with it: scale bar, north mark, attribution."""

from __future__ import annotations

from kivy.properties import NumericProperty, StringProperty
from kivy.uix.label import Label
from kivy.uix.widget import Widget

from surveyapp.ui.theme import load_kv


class ScaleBar(Widget):
    """A bar of `bar_px` pixels and what it stands for."""

    text = StringProperty("")
    bar_px = NumericProperty(0)


class NorthMark(Widget):
    """The plan's north is up."""


class FootNote(Label):
    """The attribution of the ground, and what is missing."""


load_kv(__file__)
