"""Entries put in order: tap some and the stop they belong to, or tap stops that are one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.model import Row, Stop
from surveyapp.ui import arranging
from surveyapp.ui.day_doubts import rows_of
from surveyapp.ui.day_list import DayItem, day_of, scenes_of
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401
from surveyapp.ui.words import counted

START = "Tap the entries to move, or the stops that are one."
TARGET = "Tap the stop they belong to."
MOVE = Choice(value="move", label="Move to a stop", icon="next")
SPLIT = Choice(value="split", label="Split off as a stop", icon="stop")
JOIN = Choice(value="join", label="Join them", icon="done")
NONE = Choice(value="none", label="Choose none", icon="close")


class ArrangePage(Page):
    """The current survey, its rows to be chosen."""

    items = ListProperty([])
    actions = ListProperty([])
    sentence = StringProperty(START)
    chosen = ListProperty([])

    def on_kv_post(self, *_: object) -> None:
        """Follow the list's room, which the bar at the foot makes smaller."""
        self._tapped = ""
        keep = Clock.create_trigger(self._keep_in_sight, 0)
        self.ids.scroll.bind(height=lambda *_: keep())

    def on_pre_enter(self, *_: object) -> None:
        """Begin with nothing chosen."""
        super().on_pre_enter()
        self._moving = False
        self.chosen = []

    def refresh(self) -> None:
        """Read the survey again; what has gone is chosen no longer."""
        survey, notebook = self.session.survey, self.session.notebook
        scenes = scenes_of(notebook, survey) if survey else []
        self._rows: dict[str, Row] = {
            row.id: row
            for scene in scenes
            for row in (*(row for _, row in rows_of(scene)), *scene.photos)
        }
        self.chosen = [row_id for row_id in self.chosen if row_id in self._rows]
        self._moving = self._moving and bool(self.chosen)
        day = day_of(notebook, survey)
        self._listed = [item for item in day.items if item.row_id in self._rows]
        self._show()

    def _show(self) -> None:
        """Mark what is chosen, and offer what can be done with it; while moving list stops only."""
        stops_only = [item for item in self._listed if item.leads or not self._moving]
        self.items = [self._marked(item) for item in stops_only]
        self._offer()

    def _marked(self, item: DayItem) -> DayItem:
        icon = "done" if item.row_id in self.chosen else item.icon
        return replace(item, icon=icon, doubt="", value="")

    def _offer(self) -> None:
        """What can be done with what is chosen."""
        stops, count = self._chosen_stops(), len(self.chosen)
        if self._moving:
            self.sentence, self.actions = TARGET, [NONE]
        elif stops:
            more = "" if count > 1 else "; tap another that is the same"
            self.sentence = f"{counted(count, 'stop')} chosen{more}."
            self.actions = [JOIN, NONE] if count > 1 else [NONE]
        elif count:
            self.sentence = f"{counted(count, 'entry', 'entries')} chosen."
            self.actions = [MOVE, SPLIT, NONE]
        else:
            self.sentence, self.actions = START, []

    def tap(self, item: DayItem) -> None:
        """Choose a row or let it go; while moving, a stop is where the entries go."""
        row = self._rows[item.row_id]
        if self._moving and isinstance(row, Stop):
            self._done(lambda: arranging.move(self.session, self._chosen_rows(), row))
            return
        alike = [one for one in self.chosen if isinstance(self._rows[one], Stop) == item.leads]
        if item.row_id in alike:
            self.chosen = [one for one in alike if one != item.row_id]
        else:
            self.chosen = [*alike, item.row_id]
        self._tapped = item.row_id
        self._show()

    def _keep_in_sight(self, *_: object) -> None:
        """The bar at the foot has grown: it must not hide the row just tapped."""
        row = self.ids.list.row_of(self._tapped)
        if row is not None and self._tapped in self.chosen:
            self.ids.scroll.scroll_to(row, padding=0, animate=False)

    def act(self, action: str) -> None:
        """One of the chips at the foot."""
        if action == MOVE.value:
            self._moving = True
            self._show()
            self.ids.scroll.scroll_y = 1
        elif action == SPLIT.value:
            rows = self._chosen_rows()
            stop = self._rows[rows[0].stop_id]
            self._done(lambda: arranging.split(self.session, rows, stop))
        elif action == JOIN.value:
            self._done(lambda: arranging.join(self.session, self._chosen_stops()))
        else:
            self._done(lambda: None)

    def _done(self, action: Callable[[], None]) -> None:
        self.session.attempt(action)
        self._moving, self.chosen = False, []
        self._show()

    def _chosen_rows(self) -> list[Row]:
        return [self._rows[row_id] for row_id in self.chosen]

    def _chosen_stops(self) -> list[Stop]:
        return [row for row in self._chosen_rows() if isinstance(row, Stop)]


load_kv(__file__)
