"""The fields of an entry sheet as cells, in columns, under the headings of their sections."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import NumericProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout
from kivy.uix.scrollview import ScrollView

from surveyapp.ui.speech import tr
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets.field_cell import FieldCell
from surveyapp.ui.widgets.text import Heading

GAP = dp(8)
FRICTION = 0.2  # a short drag moves the fields by about its length, not from end to end


class CellGrid(GridLayout):
    """The cells of one section, as many beside each other as the text size allows."""


class EntryFields(BoxLayout):
    """Shows the fields of an `EntryState`; dispatches `on_field(name)` when one is tapped."""

    columns = NumericProperty(2)
    current_height = NumericProperty(0)
    view: ScrollView = ObjectProperty(None, allownone=True)
    __events__ = ("on_field",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._cells: dict[str, FieldCell] = {}
        self._built: list[tuple[str, str]] = []
        self._reveal = Clock.create_trigger(lambda _: self._scroll_to_current(), 0)
        self._current: FieldCell | None = None

    def on_view(self, *_: Any) -> None:
        """Keep the current cell in view whatever is laid out anew: the list, or what is in it."""
        reveal = lambda *_: self._reveal()  # noqa: E731
        self.view.bind(size=reveal, viewport_size=reveal)
        self.view.effect_y.friction = FRICTION

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
            self._moved(self._current)

    def _build(self, fields: Any) -> None:
        self.clear_widgets()
        self._cells, section, grid = {}, None, None
        for field in fields:
            if grid is None or field.section != section:
                section, grid = field.section, CellGrid()
                if section:
                    self.add_widget(Heading(text=tr(section)))
                self.add_widget(grid)
                self.bind(columns=grid.setter("cols"))
                grid.cols = self.columns
            cell = FieldCell(name=field.name)
            cell.bind(pos=self._moved, size=self._moved)
            cell.bind(on_release=lambda tapped, *_: self.dispatch("on_field", tapped.name))
            self._cells[field.name] = cell
            grid.add_widget(cell)

    def _moved(self, cell: FieldCell, *_: Any) -> None:
        if cell is self._current:
            self.current_height = cell.height
            self._reveal()

    def _scroll_to_current(self) -> None:
        """Scroll no farther than the cell needs; Kivy's own way trusts a layout not yet settled."""
        view, cell = self.view, self._current
        content = view.children[0] if view is not None and view.children else None
        if content is None or cell is None or content.height <= view.height:
            return
        bottom = cell.to_window(*cell.pos)[1] - content.to_window(*content.pos)[1]
        beyond = content.height - view.height
        lowest, highest = bottom + cell.height + GAP - view.height, bottom - GAP
        shown = min(max(view.scroll_y * beyond, lowest), max(highest, lowest))
        view.scroll_y = min(max(shown / beyond, 0.0), 1.0)
        view.effect_y.velocity = 0  # a spring still under way would pull it back
        view.effect_y.value = -beyond * view.scroll_y

    def on_field(self, name: str) -> None:
        """Event: the cell of this field was tapped."""


load_kv(__file__)
