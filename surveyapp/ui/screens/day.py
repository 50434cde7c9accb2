"""The Day place: the survey in order of time, each row open to change, undo at the foot."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.day_list import DayItem, day_of
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401

UNDO = Choice(value="undo", label="Undo", icon="undo")
REDO = Choice(value="redo", label="Redo", icon="redo")


class DayPage(Page):
    """The current survey."""

    title = StringProperty("")
    summary = StringProperty("")
    items = ListProperty([])
    steps = ListProperty([])

    def on_kv_post(self, *_: Any) -> None:
        """Remember the parts that come and go."""
        self._sought = ""
        self._empty, self._list = self.ids.empty.__self__, self.ids.list.__self__
        self.bind(items=self._arrange)
        self._arrange()

    def on_pre_enter(self, *_: Any) -> None:
        """Begin at the current stop."""
        super().on_pre_enter()
        self._sought = self.session.stop.id if self.session.stop else ""

    def seek(self) -> None:
        """Bring the current stop into sight, once."""
        row = self._list.row_of(self._sought) if self._sought else None
        if row is not None:
            self._sought = ""
            Clock.schedule_once(lambda _: self._bring_up(row))

    def _bring_up(self, row: Any) -> None:
        scroll = self.ids.scroll
        below = (scroll.height - row.height) / dp(1)
        scroll.scroll_to(row, padding=below, animate=False)

    def _arrange(self, *_: Any) -> None:
        """The list, or what it teaches while it is empty."""
        self.ids.room.clear_widgets()
        self.ids.room.add_widget(self._list if self.items else self._empty)

    def refresh(self) -> None:
        """Read the survey again."""
        survey, notebook = self.session.survey, self.session.notebook
        day = day_of(notebook, survey)
        self.title = survey.title if survey else "No survey yet"
        self.summary, self.items = day.summary, list(day.items)
        self.steps = [UNDO] * notebook.can_undo + [REDO] * notebook.can_redo

    def open_row(self, item: DayItem) -> None:
        """The sheet of a row."""
        self.router.open_entry(item.sheet, item.row_id)

    def step(self, value: str) -> None:
        """Undo or redo."""
        getattr(self.session, value)()


load_kv(__file__)
