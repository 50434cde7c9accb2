"""What a file of a survey holds, and what came out of reading one."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from surveyapp.errors import NotebookError
from surveyapp.model import Row, new_id

R = TypeVar("R", bound=Row)


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
