"""A short message above the page, with Undo where something can be taken back."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, text  # noqa: F401


class Toast(BoxLayout):
    """Dispatches `on_undo_tapped`, and `on_hush` when the message itself is tapped away.

    A button that leaves little room beside it stands below the message.
    """

    text = StringProperty("")
    undo = BooleanProperty(False)
    crowded = BooleanProperty(False)
    __events__ = ("on_undo_tapped", "on_hush")

    def on_kv_post(self, *_: Any) -> None:
        """Show the button that fits."""
        self._button = self.ids.undo_button.__self__
        self.on_undo()

    def on_undo(self, *_: Any) -> None:
        """Undo where it helps, else Close."""
        self._button.text = "Undo" if self.undo else "Close"
        self._button.icon = "undo" if self.undo else "close"

    def tapped(self) -> None:
        """The button was tapped."""
        self.dispatch("on_undo_tapped" if self.undo else "on_hush")

    def on_undo_tapped(self) -> None:
        """Event: take it back."""

    def on_hush(self) -> None:
        """Event: the message was read."""


load_kv(__file__)
