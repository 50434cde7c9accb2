"""Every error this project raises, under one base.

A message is one plain sentence for the surveyor: what is wrong, where, and what to do.
Each class is also the fitting builtin kind, so callers may catch either. Whatever a caller
may want to act on is an attribute, never only part of the text.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

LONGEST = 600  # characters of a message; what it quotes of a file may have any length


class SurveyError(Exception):
    """Base of all errors of the survey notebook; `str(error)` can be shown as it is: one line,
    shortened in the middle, for what stands at the end is what to do."""

    def __str__(self) -> str:
        line = " ".join(super().__str__().splitlines())
        return line if len(line) <= LONGEST else f"{line[: LONGEST - 200]} ... {line[-190:]}"


class InvalidValue(SurveyError, ValueError):
    """A value cannot be used as given; `value` holds it and `allowed` says what would do.

    `problems` holds all that is wrong, one clause each, where several things may be.
    """

    def __init__(
        self, message: str, *, value: Any = None, allowed: str = "", problems: Sequence[str] = ()
    ) -> None:
        super().__init__(message)
        self.value = value
        self.allowed = allowed
        self.problems = tuple(problems)


class OutOfRange(InvalidValue):
    """A number lies outside the range a formula, a model or a standard is valid for."""


class NoAnswer(SurveyError, ValueError):
    """The data do not determine an answer; the message gives the reason and the way out."""


class NotFound(SurveyError, LookupError):
    """A row, a site, a stop or a name asked for is not in the notebook."""


class NotebookError(SurveyError, OSError):
    """The notebook's file cannot be used; nothing in it was touched."""

    def __init__(self, message: str, *, path: str = "") -> None:
        super().__init__(message)
        self.path = path


class NotANotebook(NotebookError):
    """The file exists but is not a notebook of this program."""


class NewerNotebook(NotebookError):
    """The notebook was written by a newer version of this program."""


class DamagedNotebook(NotebookError):
    """The notebook's file is damaged."""


class LockedNotebook(NotebookError):
    """Another program holds the notebook locked."""


class ReadOnlyNotebook(NotebookError):
    """The notebook lies where nothing can be written."""


class FormatError(SurveyError, ValueError):
    """A file brought in cannot be read; `place` says where in the file, e.g. 'line 7'."""

    def __init__(self, message: str, *, path: str = "", place: str = "") -> None:
        super().__init__(message)
        self.path = path
        self.place = place


class MissingPackage(SurveyError, ImportError):
    """An optional package that this work needs is not installed; the message names it."""


class NoNetwork(SurveyError, OSError):
    """A service on the network was asked on request, and no answer came."""


class SensorUnavailable(SurveyError, RuntimeError):
    """This machine has no such sensor, or its use was refused; entry by hand remains."""
