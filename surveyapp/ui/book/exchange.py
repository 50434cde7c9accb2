"""Bring in and send out: files of others into the notebook, a survey out of it."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.exchange.formats import survey_format
from surveyapp.ui.background import Background
from surveyapp.ui.book.hiding import HidingSection
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.exchanging import (
    READABLE,
    WRITABLE,
    Found,
    bring_in,
    found_words,
    into_survey,
    is_walk,
    out_path,
    read_file,
    request,
    send,
)
from surveyapp.ui.sending import HOMES
from surveyapp.ui.sheets.file_sheet import FileSheet
from surveyapp.ui.theme import load_kv

MOST_SHOWN = 30  # problems; more are counted
TAKE, LEAVE, JOIN = "take", "leave", "join"
ANSWERS = [
    Choice(value=TAKE, label="Bring the good rows in", icon="bring_in"),
    Choice(value=LEAVE, label="Bring nothing in", icon="close"),
]
INTO_OPEN = Choice(value=JOIN, label="Its stops into the open survey", icon="stop")


class ExchangeSection(HidingSection):
    """One file in at a time, one survey out at a time."""

    title = StringProperty("Bring in and send out")
    readable = StringProperty(", ".join(READABLE))
    said = StringProperty("")
    problems = StringProperty("")
    answers = ListProperty([])
    formats = ListProperty(WRITABLE)
    format = StringProperty("bundle")
    loses = StringProperty("")
    survey = StringProperty("")
    sent = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        self._found: Found | None = None
        self._file = self._asked = ""
        super().__init__(**kwargs)
        self._soon = Clock.create_trigger(lambda _: self.refresh(), 0)
        self._reader = Background(self.session.notebook, read_file)
        self._sender = Background(self.session.notebook, send)
        for work in (self._reader, self._sender):
            work.done.bind(self._soon)

    def rest(self) -> None:
        """The notebook is about to be closed."""
        for work in (self._reader, self._sender):
            work.rest()
            work.done.unbind(self._soon)
        self._soon.cancel()

    def refresh(self) -> None:
        """How far reading and writing are, and what would be hidden."""
        if self._file:
            self._show_found()
        if self._asked:
            self.sent = self._sender.problem or self._sender.of(self._asked) or "Writing."
            Clock.schedule_once(partial(self.bring_up, "sent"))
        session = self.session
        self.survey = session.survey.title if session.survey else ""
        self.format = session.sending.format
        self.loses = survey_format(self.format).loses
        self.show_hiding(session.survey.id if session.survey else "")

    # In

    def choose(self) -> None:
        """Choose a file."""
        files = FileSheet(
            session=self.session,
            router=self.router,
            take=self.read,
            title="Choose a file to bring in",
            kinds=READABLE,
            file_icon="bring_in",
            nothing="No file of a known kind in this folder.",
        )
        self.router.open(files)

    def read(self, path: Path) -> None:
        """Read a file; nothing is kept yet."""
        self._file, self._found = str(path), None
        self._reader.rest()
        self._reader.ask(self._file)
        self.refresh()

    def _show_found(self) -> None:
        found = self._reader.of(self._file)
        if found is None or self._reader.problem:
            self.said, self.problems = self._reader.problem or "Reading.", ""
            self.answers = []
        elif found is not self._found:
            self._found = found
            self.said = found_words(found)
            self._list((*found.problems, *found.notes))
            joins = is_walk(found) and self.session.survey is not None
            self.answers = [*ANSWERS[:1], *[INTO_OPEN] * joins, ANSWERS[1]] if found.rows else []

    def _list(self, sentences: tuple[str, ...]) -> None:
        more = len(sentences) - MOST_SHOWN
        tail = [f"and {more} more"] if more > 0 else []
        self.problems = "\n".join([*sentences[:MOST_SHOWN], *tail])

    def answer(self, value: str) -> None:
        """Bring the good rows in, or nothing."""
        found, self._file, self.answers = self._found, "", []
        if value == LEAVE or found is None:
            self.said, self.problems = "Nothing was brought in.", ""
            return
        if value == JOIN:
            found = into_survey(found, self.session.notebook, self.session.survey)
        self.session.attempt(lambda: self._bring_in(found))

    def _bring_in(self, found: Found) -> None:
        self.said, refused = bring_in(self.session.notebook, found)
        self._list((*found.problems, *refused))
        self.session.refresh()
        self.session.said.fire(f"Brought in {found.file}.", True)

    # Out

    def show_format(self, key: str) -> None:
        """The format to write."""
        self.session.sending.format = key
        self.refresh()

    def send(self) -> None:
        """Write the current survey."""
        session = self.session
        survey, notebook = session.survey, session.notebook
        if survey is None:
            self.sent = "There is no survey to send yet."
            return
        out = out_path(notebook, survey.title, self.format)
        homes = notebook.setting(HOMES, [])
        self._asked = request(self.format, [survey.id], sorted(session.sending.hide), homes, out)
        self._sender.ask(self._asked)
        self.refresh()


load_kv(__file__)
