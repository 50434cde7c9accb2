"""The card below the plan: what was tapped, and what can be done with it."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.plan.cards import HINT
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon, text  # noqa: F401
from surveyapp.ui.widgets.buttons import ChipFace


class RowChip(ChipFace):
    """A chip of a row that is pushed aside with a finger: as wide as its words."""


class CardView(BoxLayout):
    """Shows a `card`; a tap on one of its chips dispatches `on_act(action)`.

    Chips stand `in_a_row` that is pushed aside with a finger where there is little room.
    """

    card = ObjectProperty(HINT)
    icon = StringProperty(HINT.icon)
    title = StringProperty(HINT.title)
    said = StringProperty("")
    actions = ListProperty([])
    in_a_row = BooleanProperty(False)
    __events__ = ("on_act",)

    def on_card(self, *_: Any) -> None:
        """Write down what the card says."""
        self.icon, self.title = self.card.icon, self.card.title
        self.said = "\n".join(self.card.lines)
        self.actions = list(self.card.actions)
        self._fill()

    def on_in_a_row(self, *_: Any) -> None:
        """Put the chips where they now belong."""
        self._fill()

    def _fill(self) -> None:
        row = self.ids.row
        row.clear_widgets()
        for action in self.actions if self.in_a_row else ():
            chip = RowChip(text=action.label, icon=action.icon)
            chip.bind(on_release=lambda *_, value=action.value: self.dispatch("on_act", value))
            row.add_widget(chip)

    def on_act(self, action: str) -> None:
        """Event: the chip of this action was tapped."""


load_kv(__file__)
