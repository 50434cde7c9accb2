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
    """A chip as wide as its words; its icon is left out where rows are not `roomy`, so that a
    phone shows all chips in few rows."""

    roomy = BooleanProperty(False)


class CardView(BoxLayout):
    """Shows a `card`; a tap on one of its chips dispatches `on_act(action)`."""

    card = ObjectProperty(HINT)
    icon = StringProperty(HINT.icon)
    title = StringProperty(HINT.title)
    said = StringProperty("")
    actions = ListProperty([])
    __events__ = ("on_act",)

    def on_card(self, *_: Any) -> None:
        """Write down what the card says."""
        self.icon, self.title = self.card.icon, self.card.title
        self.said = "\n".join(self.card.lines)
        self.actions = list(self.card.actions)
        self.ids.row.clear_widgets()
        for action in self.actions:
            chip = RowChip(text=action.label, icon=action.icon)
            chip.bind(on_release=lambda *_, value=action.value: self.dispatch("on_act", value))
            self.ids.row.add_widget(chip)

    def on_act(self, action: str) -> None:
        """Event: the chip of this action was tapped."""


load_kv(__file__)
