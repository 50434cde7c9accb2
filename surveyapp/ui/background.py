"""Work that takes a second or more, done away from the finger: in a thread, on a connection of
its own. No Kivy here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Event as Flag
from threading import Lock, Thread
from typing import Generic, TypeVar

from surveyapp.errors import SurveyError
from surveyapp.store.notebook import Notebook
from surveyapp.ui.events import Event

T = TypeVar("T")
Key = tuple[str, str]
Leave = Callable[[], bool]
Work = Callable[[Path, str, Leave], "T | None"]


class Background(Generic[T]):
    """Keeps the last result of `work(path, subject, leave)`, which ends early with None where
    `leave()` asks it to. `problem` is the sentence of a work that failed.

    `done` fires in the worker's thread: bind nothing to it but a trigger of the screen's clock.
    """

    def __init__(self, notebook: Notebook, work: Work[T]) -> None:
        self.done = Event()
        self.problem = ""
        self._notebook = notebook
        self._work = work
        self._asked: Key | None = None
        self._kept: tuple[Key, T] | None = None
        self._leave = Flag()
        self._lock = Lock()

    def of(self, subject: str) -> T | None:
        """The last result about this subject, perhaps of a moment ago; None before the first."""
        kept = self._kept
        return kept[1] if kept is not None and kept[0][0] == subject else None

    def is_fresh(self, subject: str) -> bool:
        """Whether nothing has changed in the notebook since the result there is."""
        return self._kept is not None and self._kept[0] == self._key_of(subject)

    def ask(self, subject: str) -> None:
        """Begin to work it out, unless it is there or under way."""
        key = self._key_of(subject)
        if key != self._asked:
            self.rest()
            self._asked, self._leave = key, Flag()
            path, leave = self._notebook.path, self._leave
            Thread(target=self._run, args=(path, key, leave), name="background").start()

    def rest(self) -> None:
        """The notebook is about to be closed: what is under way is for nobody, and after this
        call `done` does not fire for it any more."""
        with self._lock:
            self._leave.set()
        self._asked = None

    def _key_of(self, subject: str) -> Key:
        last = self._notebook.history(1)
        return subject, last[0].action_id if last else ""

    def _run(self, path: Path, key: Key, leave: Flag) -> None:
        problem, result = "", None
        try:
            result = self._work(path, key[0], leave.is_set)
        except SurveyError as error:
            problem = str(error)
        with self._lock:
            if leave.is_set():
                return
            self.problem = problem
            if result is not None:
                self._kept = (key, result)
            self.done.fire()
