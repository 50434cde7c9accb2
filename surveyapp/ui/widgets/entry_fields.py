"""The fields of an entry sheet as cells, in columns, under the headings of their sections."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout
from kivy.uix.scrollview import ScrollView

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets.field_cell import FieldCell
from surveyapp.ui.widgets.text import Heading


class CellGrid(GridLayout):
    """The cells of one section, as many beside each other as the text size allows."""


class EntryFields(BoxLayout):
    """Shows the fields of an `EntryState`; dispatches `on_field(name)` when one is tapped."""

    columns = NumericProperty(2)
    view: ScrollView = ObjectProperty(None, allownone=True)
    __events__ = ("on_field",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._cells: dict[str, FieldCell] = {}
        self._built: list[tuple[str, str]] = []
        self._reveal = Clock.create_trigger(lambda _: self._scroll_to_current(), 0)
        self._current: FieldCell | None = None

    def on_view(self, *_: Any) -> None:
        """Keep the current cell in view when the list around it changes its height."""
        self.view.bind(height=lambda *_: self._reveal())

    def show(self, state: Any) -> None:
        """Bring the cells up to the state; they are built anew only when the fields changed."""
        wanted = [(field.section, field.name) for field in state.fields]
        if wanted != self._built:
            self._build(state.fields)
            self._built = wanted
        doubts = state.problems()
        for field in state.fields:
            cell = self._cells[field.name]
            cell.label, cell.unit = field.label, field.unit
            cell.value = field.shown(state.text(field.name))
            cell.doubtful = field.name in doubts
            cell.current = field.name == state.focus
        if self._current is not self._cells[state.focus]:
            self._current = self._cells[state.focus]
            self._reveal()

    def _build(self, fields: Any) -> None:
        self.clear_widgets()
        self._cells, section, grid = {}, None, None
        for field in fields:
            if grid is None or field.section != section:
                section, grid = field.section, CellGrid()
                if section:
                    self.add_widget(Heading(text=section))
                self.add_widget(grid)
                self.bind(columns=grid.setter("cols"))
                grid.cols = self.columns
            cell = FieldCell(name=field.name)
            cell.bind(on_release=lambda tapped, *_: self.dispatch("on_field", tapped.name))
            self._cells[field.name] = cell
            grid.add_widget(cell)

    def _scroll_to_current(self) -> None:
        if self.view is not None and self._current is not None and self.view.height > 1:
            self.view.scroll_to(self._current, padding=dp(8), animate=False)

    def on_field(self, name: str) -> None:
        """Event: the cell of this field was tapped."""


load_kv(__file__)
