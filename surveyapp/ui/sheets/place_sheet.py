"""Asks for the name of a place, after saying what goes over the network for it."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.model import Site, Stop
from surveyapp.ui.asking_place import answered, keep_name, place_of, question
from surveyapp.ui.background import Background
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.words import number


class PlaceSheet(Sheet):
    """Nothing is sent before the button is touched; a stop keeps the answer where wished."""

    where = StringProperty("")
    answer = StringProperty("")
    keeps = ListProperty([])

    def __init__(self, row: Stop | Site, **kwargs: Any) -> None:
        super().__init__(title="Name of the place", **kwargs)
        self.subtitle = f"Stop {row.number}" if isinstance(row, Stop) else row.name
        self._row, self._place = row, place_of(row)
        assert self._place is not None, "it is offered where there is a position"
        self.where = ", ".join(number(angle_deg, 5) for angle_deg in self._place)
        self._question = question(self._place)
        self._work = Background(self.session.notebook, answered)
        self._soon = Clock.create_trigger(lambda _: self._told(), 0)
        self._work.done.bind(self._soon)

    def ask(self) -> None:
        """Send the position."""
        self.answer = "Waiting for the answer."
        self._work.rest()
        self._work.ask(self._question)

    def keep(self) -> None:
        """Keep the answer with the stop."""
        if self.session.attempt(lambda: keep_name(self.session, self._row, self.answer)):
            self.close()

    def _told(self) -> None:
        found = self._work.of(self._question)
        self.answer = self._work.problem or found or ""
        if isinstance(self._row, Stop) and found is not None:
            self.keeps = [Choice(value="keep", label="Keep it with the stop", icon="done")]
        if found is not None:
            self.session.changed.fire()

    def left(self) -> None:
        """Nobody waits for the answer any more."""
        self.rest()
        super().left()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._work.rest()
        self._work.done.unbind(self._soon)
        self._soon.cancel()


load_kv(__file__)
