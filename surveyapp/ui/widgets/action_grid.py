"""Small actions in two tight rows of equal cells, so that what stands below them is in sight."""

from __future__ import annotations

from math import ceil
from typing import Any

from kivy.clock import Clock
from kivy.metrics import Metrics, dp
from kivy.properties import BooleanProperty, ListProperty, NumericProperty
from kivy.uix.gridlayout import GridLayout

from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets.buttons import ChipFace
from surveyapp.ui.widgets.text import width_of

ROWS = 2
ALONE = 3  # so many and fewer stand in one row
SIDES_DP, ICON_DP = 14, 26  # what a cell needs beside its word, and for its icon


class ActionCell(ChipFace):
    """One action: its word on one or two lines, its icon before it where all cells have room."""

    needed = NumericProperty(0)


class ActionGrid(GridLayout):
    """Cells for `options` (Choice); a tap dispatches `on_choose(value)`.

    Two rows, the second under the thumb; one for few options or on a wide page, more where
    large text needs them.
    """

    options = ListProperty([])
    mirrored = BooleanProperty(False)
    with_icons = BooleanProperty(False)
    cell_height = NumericProperty(0)
    __events__ = ("on_choose",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._fit_soon = Clock.create_trigger(self.fit, -1)
        self._even_soon = Clock.create_trigger(self.even_out, -1)
        self.bind(width=self._fit_soon, options=self._fit_soon)
        Metrics.bind(sp=self._fit_soon)
        theme.bind(tr=self._fit_soon)

    def on_options(self, *_: Any) -> None:
        """A cell for each; where only words changed, the cells stay: a finger may be on one."""
        cells = self.children[::-1]
        if [cell.value for cell in cells] != [option.value for option in self.options]:
            self.clear_widgets()
            cells = [ActionCell() for _ in self.options]
            for cell in cells:
                cell.bind(on_release=lambda tapped, *_: self.dispatch("on_choose", tapped.value))
                cell.bind(needed=self._even_soon)
                self.add_widget(cell)
        for cell, option in zip(cells, self.options, strict=True):
            cell.value, cell.text, cell.icon = option.value, option.said, option.icon

    def fit(self, *_: Any) -> None:
        """As many cells to a row as their longest words allow, icons where there is room."""
        words = [option.said for option in self.options] or [""]
        size, gap, sides = 16 * Metrics.sp, self.spacing[0], dp(SIDES_DP)
        longest = max(width_of(part, size) for word in words for part in word.split(" "))
        whole = max(width_of(word, size) for word in words)
        fitting = max(1, int((self.width + gap) // (longest + sides + gap)))
        in_a_row = max(1, int((self.width + gap) // (whole + sides + dp(ICON_DP) + gap)))
        rows = 1 if len(words) <= max(ALONE, in_a_row) else ROWS
        self.cols = min(ceil(len(words) / rows), fitting)
        self.with_icons = self.cols <= in_a_row

    def even_out(self, *_: Any) -> None:
        """All cells as high as the highest."""
        self.cell_height = max((cell.needed for cell in self.children), default=0)

    def on_choose(self, value: str) -> None:
        """Event: the cell of this value was tapped."""


load_kv(__file__)
