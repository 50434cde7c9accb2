"""The strip over every page of the demo day: what it is, and the way back."""

from __future__ import annotations

from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon, text  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox


class DemoWay(PressableBox):
    """What is tapped: all is invented, and this leads back to the own notebook."""


class DemoStrip(BoxLayout):
    """Keeps clear of the buttons below; dispatches `on_leave`."""

    __events__ = ("on_leave",)

    def on_leave(self) -> None:
        """Event: back to the own notebook."""


load_kv(__file__)
