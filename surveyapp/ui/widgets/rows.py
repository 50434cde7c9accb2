"""Rows of a list, and what stands where a list is empty."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, icon, text  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox


class ListRow(PressableBox):
    """One row: icon, `text` with `detail` below it, a `value` at the right, and a `doubt`.

    A `marked` row stands out: it has just come.
    """

    icon = StringProperty("")
    text = StringProperty("")
    detail = StringProperty("")
    value = StringProperty("")
    doubt = StringProperty("")
    marked = BooleanProperty(False)


class Doubt(BoxLayout):
    """Something that weakens a conclusion: a warning sign and a sentence."""

    text = StringProperty("")


class EmptyState(BoxLayout):
    """What a list shows while it is empty: what will stand here and how to begin."""

    title = StringProperty("")
    text = StringProperty("")


load_kv(__file__)
