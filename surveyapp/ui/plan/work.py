"""Long answers without a long wait: read a little each frame, then reckon beside the screen."""

from __future__ import annotations

from collections.abc import Callable, Generator
from threading import Thread
from typing import Any, TypeVar

from kivy.clock import Clock

from surveyapp.errors import SurveyError

T = TypeVar("T")
Question = Generator[None, None, Callable[[], T]]
"""Reads from the notebook, a portion between two yields, and returns what is to be reckoned."""


class Work:
    """One question at a time; a new one takes the place of the last, whose answer is dropped.

    `wanted` tells whether anybody still waits: once it says no, the question is dropped.
    """

    def __init__(self, wanted: Callable[[], bool] = lambda: True) -> None:
        self._wanted = wanted
        self._asked = 0
        self._reading: Any = None

    @property
    def busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._reading is not None

    def start(
        self,
        question: Question[T],
        answered: Callable[[T], None],
        refused: Callable[[str], None],
    ) -> None:
        """Answer a question; `answered` or `refused` (with a sentence) is called in a frame."""
        self.drop()
        number = self._asked

        def read(*_: Any) -> bool | None:
            if number != self._asked or not self._wanted():
                self.drop()
                return False
            try:
                next(question)
                return None
            except StopIteration as end:
                Thread(target=reckon, args=(end.value,), daemon=True).start()
            except SurveyError as error:
                finish(refused, str(error))
            return False

        def reckon(action: Callable[[], T]) -> None:
            try:
                found = action()
            except SurveyError as error:
                sentence = str(error)
                Clock.schedule_once(lambda *_: finish(refused, sentence))
            else:
                Clock.schedule_once(lambda *_: finish(answered, found))

        def finish(tell: Callable[[Any], None], what: Any) -> None:
            if number == self._asked and self._wanted():
                self._reading = None
                tell(what)

        self._reading = Clock.schedule_interval(read, 0)

    def drop(self) -> None:
        """No answer is wanted any more."""
        self._asked += 1
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None
