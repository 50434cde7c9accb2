"""A list of rows that is filled a few a frame and keeps its widgets when it changes."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets.rows import ListRow

A_FRAME = 12  # rows made in one frame: under a sixtieth of a second on a desk


class PlacedRow(ListRow):
    """A row that knows its item; one that `leads` a group stands out, those `inside` are set in."""

    item = ObjectProperty()
    leads = BooleanProperty(False)
    inside = BooleanProperty(False)


class RowList(BoxLayout):
    """Shows `items`, each with `icon`, `text`, `detail`, `value`, `doubt`; an item that
    `leads` a group stands out, one `inside` it is set in. A tap dispatches `on_row(item)`."""

    items = ListProperty([])
    __events__ = ("on_row", "on_filled")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._more = Clock.create_trigger(self._fill, 0)

    def on_items(self, *_: Any) -> None:
        """Change the rows there are, take away those too many, make the missing ones."""
        rows = self.children[::-1]
        for row, item in zip(rows, self.items, strict=False):
            self.write(row, item)
        for row in rows[len(self.items) :]:
            self.remove_widget(row)
        self._fill()

    def _fill(self, *_: Any) -> None:
        made = len(self.children)
        for item in self.items[made : made + A_FRAME]:
            row = self.made_row()
            self.write(row, item)
            self.add_widget(row)
        if len(self.children) < len(self.items):
            self._more()
        else:
            self.dispatch("on_filled")

    def made_row(self) -> Any:
        """A row without an item yet; a list of another kind of rows makes its own."""
        row = PlacedRow()
        row.bind(on_release=self._tapped)
        return row

    def write(self, row: Any, item: Any) -> None:
        """Show an item in a row."""
        row.item = item
        row.leads = getattr(item, "leads", False)
        row.inside = getattr(item, "inside", False)
        row.icon, row.text, row.detail = item.icon, item.text, item.detail
        row.value, row.doubt = getattr(item, "value", ""), getattr(item, "doubt", "")

    def row_of(self, row_id: str) -> ListRow | None:
        """The row of this id, where it is there already."""
        return next((row for row in self.children if row.item.row_id == row_id), None)

    def _tapped(self, row: PlacedRow, *_: Any) -> None:
        self.dispatch("on_row", row.item)

    def on_row(self, item: Any) -> None:
        """Event: the row of this item was tapped."""

    def on_filled(self) -> None:
        """Event: all rows are there."""


load_kv(__file__)
