"""What can be touched: the one place that knows how Kivy tells a finger is down."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.boxlayout import BoxLayout


class Pressable(ButtonBehavior):
    """Mixin for touch targets: `held` while a finger is on it, `on_release` when tapped."""

    held = BooleanProperty(False)

    def on_state(self, *_: Any) -> None:
        """Follow Kivy's own state, so that no other file needs to."""
        self.held = self.state == "down"


class PressableBox(Pressable, BoxLayout):
    """A touch target that lays out its content in a row or a column."""
