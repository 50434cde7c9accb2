"""Backups: one now, one each day by itself, and any of them taken back."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.background import Background
from surveyapp.ui.book.rows import BookRow
from surveyapp.ui.book.section import Section
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.keeping import (
    BESIDE,
    DAILY_KEPT,
    DAILY_NUMBERS,
    DAILY_ON,
    IN_PLACE,
    backed_up,
    backup_rows,
    taken_back,
)
from surveyapp.ui.speech import tr
from surveyapp.ui.theme import load_kv

ON, OFF, LEAVE = "on", "off", "leave"
AT_WORK = "At work."


class BackupsSection(Section):
    """Writing and restoring are done in the background; `said` and `taken` tell how it went."""

    title = StringProperty("Backups")
    said = StringProperty("")
    daily = ListProperty([])
    daily_now = StringProperty("")
    numbers = ListProperty([])
    number = StringProperty("")
    items = ListProperty([])
    chosen = StringProperty("")
    answers = ListProperty([])
    taken = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._written = self._asked = self._row = ""
        self._soon = Clock.create_trigger(lambda _: self._worked(), 0)
        self._writer = Background(self.session.notebook, backed_up)
        self._restorer = Background(self.session.notebook, taken_back)
        for work in (self._writer, self._restorer):
            work.done.bind(self._soon)

    def rest(self) -> None:
        """The notebook is about to be closed."""
        for work in (self._writer, self._restorer):
            work.rest()
            work.done.unbind(self._soon)
        self._soon.cancel()

    def refresh(self) -> None:
        """The backups there are, and what is set."""
        notebook = self.session.notebook
        self.items = backup_rows(notebook)
        self.daily = [Choice(value=ON, label=tr("One each day")), Choice(value=OFF, label=tr("No"))]
        self.daily_now = ON if notebook.setting(DAILY_ON, True) else OFF
        self.numbers = [Choice(value=str(n), label=tr(f"Keep {n}")) for n in DAILY_NUMBERS]
        self.number = str(notebook.setting(DAILY_KEPT, DAILY_NUMBERS[0]))

    def back_up(self) -> None:
        """Write one now."""
        self._written, self.said = self._now().isoformat(), AT_WORK
        self._writer.ask(self._written)

    def set_daily(self, value: str) -> None:
        """Whether one is written each day."""
        self.session.notebook.keep_setting(DAILY_ON, value == ON)
        self.refresh()

    def set_number(self, value: str) -> None:
        """How many of those are kept."""
        self.session.notebook.keep_setting(DAILY_KEPT, int(value))
        self.refresh()

    def choose(self, item: BookRow) -> None:
        """A backup was tapped: what is to become of it?"""
        self._row, self.chosen, self.taken = item.row_id, item.text, ""
        self.answers = [
            Choice(value=IN_PLACE, label=tr("Put it in this notebook's place"), icon="undo"),
            Choice(value=BESIDE, label=tr("Make a notebook of it beside this one"), icon="add"),
            Choice(value=LEAVE, label=tr("Leave it"), icon="close"),
        ]

    def answer(self, value: str) -> None:
        """Take the chosen backup back, or leave it."""
        self.answers, self.chosen = [], ""
        if value != LEAVE:
            self._asked = json.dumps([self._row, self._now().isoformat(), value])
            self.taken = AT_WORK
            self._restorer.ask(self._asked)

    def _worked(self) -> None:
        """A work has ended: say how, and where another state is here now, show it."""
        if self._written:
            self.said = self._writer.problem or self._writer.of(self._written) or AT_WORK
        if self._asked:
            done = self._restorer.of(self._asked)
            self.taken = self._restorer.problem or done or AT_WORK
            if done is not None:
                self._asked = ""
                self.session.reread()
        self.refresh()

    def _now(self) -> datetime:
        return self.session.clock().astimezone()


load_kv(__file__)
