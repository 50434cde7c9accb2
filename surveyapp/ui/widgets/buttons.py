"""Buttons and chips: a word, mostly with an icon before or above it."""

from __future__ import annotations

from typing import Any

from kivy.properties import (
    BooleanProperty,
    ColorProperty,
    ListProperty,
    NumericProperty,
    OptionProperty,
    StringProperty,
)
from kivy.uix.stacklayout import StackLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox
from surveyapp.ui.widgets.text import MeasuredWord


class ButtonFace(MeasuredWord, PressableBox):
    """What all main buttons share: the face and the colour of what is written on it.

    `look` is `main` (filled), `plain` (outlined) or `quiet` (no outline).
    """

    icon = StringProperty("")
    look = OptionProperty("plain", options=("main", "plain", "quiet"))
    face = ColorProperty()
    edge = ColorProperty()
    ink = ColorProperty()


class AppButton(ButtonFace):
    """A main button, at least 56 dp high, its icon before the word."""


class TallButton(ButtonFace):
    """A main button with its icon above the word, for the thumb zone."""


class ChipFace(MeasuredWord, PressableBox):
    """What all choices share; `chosen` shows by a heavy rule and heavy type."""

    icon = StringProperty("")
    chosen = BooleanProperty(False)


class Chip(ChipFace):
    """One choice of several, at least 48 dp high, ticked when chosen.

    As wide as its word, but never wider than the row it stands in, where the word wraps.
    """


class Tile(ChipFace):
    """A choice told by a drawing: its icon large, the word below."""


class Choices(StackLayout):
    """Chips to choose one from: `options` are `Choice`s, `chosen` the value picked,
    `marked` those ticked where several can be.

    With `tiles` each is shown by its drawing. Tapping one dispatches `on_choose(value)`; the
    owner decides what is chosen.
    """

    options = ListProperty([])
    chosen = StringProperty("")
    marked = ListProperty([])
    tiles = BooleanProperty(False)
    beside = NumericProperty(3)
    __events__ = ("on_choose",)

    def on_kv_post(self, *_: Any) -> None:
        """Build the chips given at the start."""
        self.on_options()

    def on_options(self, *_: Any) -> None:
        """Build a chip for each option; where only words changed, the chips stay."""
        if self.canvas is None:  # set while the widget is being made
            return
        chips = self.children[::-1]
        if [chip.value for chip in chips] == [option.value for option in self.options]:
            for chip, option in zip(chips, self.options, strict=True):  # a finger may be on one
                chip.text, chip.icon = option.said, option.icon
            return
        self.clear_widgets()
        for option in self.options:
            made = Tile if self.tiles else Chip
            chip = made(text=option.said, icon=option.icon, chosen=self._is_chosen(option.value))
            chip.value = option.value
            chip.bind(on_release=lambda tapped, *_: self.dispatch("on_choose", tapped.value))
            self.add_widget(chip)

    def on_chosen(self, *_: Any) -> None:
        """Mark the chosen chip."""
        for chip in self.children:
            chip.chosen = self._is_chosen(chip.value)

    on_marked = on_chosen

    def _is_chosen(self, value: str) -> bool:
        return value == self.chosen or value in self.marked

    def on_choose(self, value: str) -> None:
        """Event: the chip of this value was tapped."""


load_kv(__file__)
