"""Report: a survey told as one page to read and print, and as a picture."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, ListProperty, StringProperty

from surveyapp.model import Survey
from surveyapp.ui.background import Background
from surveyapp.ui.book.hiding import HIDDEN, HidingSection
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.reporting import (
    browser_there,
    make_report,
    page_of,
    report_request,
    show_page,
)
from surveyapp.ui.sending import HOMES
from surveyapp.ui.theme import load_kv

MOST_SURVEYS = 30  # offered, the newest
OPEN = [Choice(value="open", label="Open it in the browser", icon="next")]
WITH, WITHOUT = "with", "without"


class ReportSection(HidingSection):
    """Made in the background; `said` tells how far it is, then where it lies."""

    title = StringProperty("Report")
    offered = HIDDEN[:3]  # its pictures are always made anew, without their data
    surveys = ListProperty([])
    survey = StringProperty("")
    pictures = ListProperty(
        [Choice(value=WITH, label="With it"), Choice(value=WITHOUT, label="Without it")]
    )
    picture = StringProperty(WITH)
    said = StringProperty("")
    after = ListProperty([])
    has_survey = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        self._asked = self._stage = ""
        super().__init__(**kwargs)
        self._soon = Clock.create_trigger(lambda _: self.refresh(), 0)
        self._maker = Background(self.session.notebook, self._make)
        self._maker.done.bind(self._soon)

    def _make(self, path: Path, asked: str, leave: Callable[[], bool]) -> str | None:
        """In the worker's thread."""
        return make_report(path, asked, leave, partial(self._tell, leave))

    def _tell(self, leave: Callable[[], bool], stage: str) -> None:
        if not leave():
            self._stage = stage
            self._soon()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._maker.rest()
        self._maker.done.unbind(self._soon)
        self._soon.cancel()

    def refresh(self) -> None:
        """The surveys there are, what would be hidden, and how far the making is."""
        newest = self.session.notebook.newest(Survey, MOST_SURVEYS)
        known = [one.id for one in newest]
        wanted = self.about or (self.session.survey.id if self.session.survey else "")
        if self.survey not in known:
            self.survey = wanted if wanted in known else (known or [""])[0]
        self.surveys = [Choice(value=one.id, label=one.title) for one in newest]
        self.has_survey = bool(known)
        self.show_hiding(self.survey)
        if self._asked:
            self._show_made()

    def _show_made(self) -> None:
        done = self._maker.of(self._asked)
        self.said = self._maker.problem or done or self._stage
        self.after = OPEN if done and browser_there() else []
        if done or self._maker.problem:
            Clock.schedule_once(partial(self.bring_up, "end"))

    def show_survey(self, survey_id: str) -> None:
        """The survey to tell."""
        self.survey = survey_id
        self.refresh()

    def show_picture(self, value: str) -> None:
        """Whether the summary picture is wanted too."""
        self.picture = value

    def make(self) -> None:
        """Begin; nothing is opened unasked."""
        notebook, sending = self.session.notebook, self.session.sending
        self._maker.rest()
        self._maker.problem = ""
        self._stage, self.after = "Reading the survey.", []
        self._asked = report_request(
            notebook.get(Survey, self.survey),
            sending.hide,
            notebook.setting(HOMES, []),
            self.picture == WITH,
            notebook,
        )
        self._maker.ask(self._asked)
        self.refresh()
        Clock.schedule_once(partial(self.bring_up, "end"))

    def open(self) -> None:
        """Show the page in the system's browser."""
        show_page(page_of(self._asked))


load_kv(__file__)
