"""What a file of a survey holds, and what came out of reading one."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Generic, TypeVar

from surveyapp.errors import InvalidValue, NotebookError
from surveyapp.exchange.files import refused
from surveyapp.model import Row, new_id

R = TypeVar("R", bound=Row)
T = TypeVar("T")

MOST_ROWS = 2_000_000  # some 2 GB in memory; a survey of a day holds some hundred
MOST_TROUBLES = 10_000  # a file with more bad rows is something else
LONGEST_TROUBLE = 500


@dataclass(frozen=True, kw_only=True, slots=True)
class Content:
    """Rows to be written, and where the pictures lie that their photos name."""

    rows: Sequence[Row]
    pictures: Mapping[str, Path] = field(default_factory=dict)

    def of(self, kind: type[R]) -> list[R]:
        """The rows of one kind, in their order."""
        return [row for row in self.rows if type(row) is kind]

    def by_id(self, kind: type[R]) -> dict[str, R]:
        """The rows of one kind by their ids."""
        return {row.id: row for row in self.of(kind)}


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """A row that could not be read: where it stands in the file, and why."""

    place: str
    what: str

    def __str__(self) -> str:
        return f"{self.place}: {self.what}"


class Gatherer(Generic[T]):
    """Takes what a file holds one by one, and keeps good and bad apart in bounded memory."""

    def __init__(self, path: Path, most: int = MOST_ROWS) -> None:
        self.good: list[T] = []
        self.troubles: list[Trouble] = []
        self._path = path
        self._most = most

    def take(self, place: str, make: Callable[[], T]) -> None:
        """Keep what `make` gives, or where it raises InvalidValue the trouble with its place.

        Raises FormatError where a file holds more than any survey could.
        """
        try:
            self.good.append(make())
        except InvalidValue as error:
            self.refuse(place, str(error))
        if len(self.good) > self._most:
            raise refused(self._path, f"holds more than {self._most:,} rows: cut it first")

    def refuse(self, place: str, what: str) -> None:
        """List something that cannot be read; raises FormatError where there is no end of it."""
        if len(what) > LONGEST_TROUBLE:
            what = f"{what[:LONGEST_TROUBLE]}..."
        self.troubles.append(Trouble(place=place, what=what))
        if len(self.troubles) > MOST_TROUBLES:
            raise refused(
                self._path,
                f"holds more than {MOST_TROUBLES:,} rows that cannot be read, the first at "
                f"{self.troubles[0]}: see whether it is the right file",
            )


@dataclass(frozen=True, kw_only=True, slots=True)
class Brought:
    """What reading a file gave: rows, pictures, every row that failed, and what the format
    could not carry, in words."""

    rows: tuple[Row, ...]
    pictures: tuple[Path, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A temporary file beside `path` for the block to write, which then takes its place; it
    appears whole or not at all.

    Raises NotebookError where nothing can be written there.
    """
    temporary = path.with_name(f".{path.name}.{new_id()}")
    try:
        yield temporary
        os.replace(temporary, path)
    except OSError as error:
        raise NotebookError(
            f"{path} cannot be written ({error.strerror or error}): choose another place.",
            path=str(path),
        ) from error
    finally:
        temporary.unlink(missing_ok=True)
