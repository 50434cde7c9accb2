"""Puts what was typed on disk; while the disk refuses it says so and tries again by itself."""

from __future__ import annotations

from collections.abc import Callable

from kivy.clock import Clock

from surveyapp.errors import SurveyError

AGAIN_AFTER_S = 2.0


class Keeper:
    """Runs `write`; `trouble` is a sentence while the last try failed, else ''.

    After each try that it made by itself it calls `tried`.
    """

    def __init__(self, write: Callable[[], object], tried: Callable[[], object]) -> None:
        self._write, self._tried = write, tried
        self._again = Clock.create_trigger(self._try_again, AGAIN_AFTER_S)
        self.trouble = ""

    def keep(self) -> None:
        """Write now; where that fails, again in two seconds, until it works."""
        self._again.cancel()
        try:
            self._write()
            self.trouble = ""
        except SurveyError as error:
            self.trouble = f"Not on disk yet, trying again: {error}"
            self._again()

    def rest(self) -> None:
        """Try no more."""
        self._again.cancel()

    def _try_again(self, *_: object) -> None:
        self.keep()
        self._tried()
