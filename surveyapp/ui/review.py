"""A survey looked through as a whole, away from the finger: serving answers, expectations, doubts.

It takes a second or more, so a thread of its own works it out on its own connection and the
screens show the last one meanwhile. No Kivy here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from threading import Event as Flag
from threading import Thread
from typing import TYPE_CHECKING

from surveyapp.errors import SurveyError
from surveyapp.model import Stop, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.events import Event

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.analysis.value_doubts import Doubt

Key = tuple[str, str]


@dataclass(frozen=True)
class Review:
    """A survey's stops, what was expected at each, and every doubt, as of one moment."""

    survey_id: str
    scenes: tuple[StopScene, ...] = ()
    expectations: tuple[StopExpectations, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    problem: str = ""


class Reviewer:
    """Keeps the review of the survey asked for last. `done` fires, in the worker's thread, when
    a new one is there: bind nothing to it but a trigger of the screen's own clock."""

    def __init__(self, notebook: Notebook) -> None:
        self.done = Event()
        self._notebook = notebook
        self._path = notebook.path
        self._asked: Key | None = None
        self._reviewed: Key | None = None
        self._review: Review | None = None
        self._leave = Flag()

    def of(self, survey_id: str) -> Review | None:
        """The last review of this survey, perhaps of a moment ago; None before the first."""
        review = self._review
        return review if review is not None and review.survey_id == survey_id else None

    def is_fresh(self, survey_id: str) -> bool:
        """Whether nothing has changed since the review there is."""
        return self._reviewed is not None and self._reviewed == self._key_of(survey_id)

    def ask(self, survey_id: str) -> None:
        """Begin to work the review out, unless it is there or under way."""
        key = self._key_of(survey_id)
        if key != self._asked:
            self._leave.set()
            self._asked, self._leave = key, Flag()
            Thread(target=self._work, args=(key, self._leave), name="review").start()

    def rest(self) -> None:
        """The notebook is about to be closed: what is under way is for nobody."""
        self._leave.set()
        self._asked = None

    def _key_of(self, survey_id: str) -> Key:
        last = self._notebook.history(1)
        return survey_id, last[0].action_id if last else ""

    def _work(self, key: Key, leave: Flag) -> None:
        try:
            review = reviewed(self._path, key[0], leave.is_set)
        except SurveyError as error:
            review = Review(key[0], problem=str(error))
        if review is not None and not leave.is_set():
            self._review, self._reviewed = review, key
            self.done.fire()


def reviewed(path: Path, survey_id: str, leave: Callable[[], bool]) -> Review | None:
    """Look a survey through; None where `leave` asked to stop on the way."""
    from surveyapp.analysis.doubts import survey_doubts
    from surveyapp.analysis.expectation import survey_expectations
    from surveyapp.analysis.phone_offset import learn_phone_offsets

    scenes: list[StopScene] = []
    with Notebook.open(path) as notebook:
        for stop in notebook.all(Stop, survey_id=survey_id):
            if leave():
                return None
            scenes.append(notebook.stop_scene(stop.id))
    expectations = survey_expectations(scenes, learn_phone_offsets(scenes))
    if leave():
        return None
    doubts = survey_doubts(scenes, expectations)
    return Review(survey_id, tuple(scenes), expectations, doubts)
