"""A short message over the page's title, with Undo where something can be taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, text  # noqa: F401

AIMED_S = 0.4  # a finger on its way cannot be turned round any more; our choice


class Toast(BoxLayout):
    """Dispatches `on_undo_tapped`, and `on_hush` when the message itself is tapped away.

    A button that leaves little room beside it stands below the message. It lies over other
    targets, so that a tap still goes to what was there when the finger set out: below the
    message while it has only just come, to nothing when it has only just gone.
    """

    text = StringProperty("")
    undo = BooleanProperty(False)
    crowded = BooleanProperty(False)
    __events__ = ("on_undo_tapped", "on_hush")

    def on_kv_post(self, *_: Any) -> None:
        """Show the button that fits."""
        self._button = self.ids.undo_button.__self__
        self._came_s = 0.0
        self.on_undo()

    def on_undo(self, *_: Any) -> None:
        """Undo where it helps, else Close."""
        self._button.text = "Undo" if self.undo else "Close"
        self._button.icon = "undo" if self.undo else "close"

    @property
    def settled(self) -> bool:
        """Whether it has been there long enough for a finger to have set out for it."""
        return Clock.get_time() - self._came_s >= AIMED_S

    @property
    def touched(self) -> bool:
        """Whether a finger is on its button."""
        return bool(self._button.held)

    def come(self, sentence: str, undo: bool) -> None:
        """Say this from now on."""
        if self.parent is None or self.opacity == 0:
            self._came_s = Clock.get_time()
        self.text, self.undo, self.opacity = sentence, undo, 1

    def go(self, then: Callable[[], Any]) -> None:
        """Be seen no more; `then` it may be taken away."""
        self.opacity = 0
        Clock.schedule_once(lambda _: then(), AIMED_S)

    def on_touch_down(self, touch: Any) -> bool:
        """Taps on its ground are its own, once it is seen."""
        if not self.collide_point(*touch.pos) or not self.settled:
            return False
        if self.opacity and not super().on_touch_down(touch):
            self.dispatch("on_hush")
        return True

    def tapped(self) -> None:
        """The button was tapped."""
        self.dispatch("on_undo_tapped" if self.undo else "on_hush")

    def on_undo_tapped(self) -> None:
        """Event: take it back."""

    def on_hush(self) -> None:
        """Event: the message was read."""


load_kv(__file__)
