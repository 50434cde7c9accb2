"""The strip over every page of the demo day: what it is, and the way back."""

from __future__ import annotations

from kivy.properties import BooleanProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, text  # noqa: F401


class DemoStrip(BoxLayout):
    """Says that all is invented; dispatches `on_leave`. A wide button stands below the words."""

    crowded = BooleanProperty(False)
    __events__ = ("on_leave",)

    def on_leave(self) -> None:
        """Event: back to the own notebook."""


load_kv(__file__)
