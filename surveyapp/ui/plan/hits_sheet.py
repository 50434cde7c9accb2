"""The list of what lies under one finger: tap a row to be shown that one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from kivy.properties import ListProperty, ObjectProperty

from surveyapp.ui.plan.cards import Card
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401


@dataclass(frozen=True, slots=True)
class HitRow:
    """A mark as a row."""

    row_id: str
    icon: str
    text: str
    detail: str


class HitsSheet(Sheet):
    """Shows a row for each of some cards; `take(index)` is called with the one tapped."""

    items = ListProperty([])
    take: Callable[[int], None] = ObjectProperty()

    @staticmethod
    def rows_of(cards: Sequence[Card]) -> list[HitRow]:
        """The rows of some cards."""
        return [
            HitRow(str(index), card.icon, card.title, "\n".join(card.lines[:2]))
            for index, card in enumerate(cards)
        ]

    def tapped(self, row: Any) -> None:
        """Show that one."""
        self.close()
        self.take(int(row.row_id))


load_kv(__file__)
