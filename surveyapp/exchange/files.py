"""What every reader of files shares: how one is refused, and how large it may be."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol, TypeVar

from surveyapp.errors import FormatError

_TEMPORARY = "surveyapp-"
_ABANDONED_S = 86_400.0  # a younger folder's program may still be at work


def new_temporary_folder() -> Path:
    """A fresh folder of the system's temporary ones; those that killed programs left go."""
    for path in Path(tempfile.gettempdir()).glob(f"{_TEMPORARY}*"):
        try:
            if path.lstat().st_mtime < time.time() - _ABANDONED_S:
                shutil.rmtree(path, ignore_errors=True)
        except OSError:
            continue
    return Path(tempfile.mkdtemp(prefix=_TEMPORARY))


@contextmanager
def temporary_folder() -> Iterator[Path]:
    """Such a folder that goes with the block."""
    folder = new_temporary_folder()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class Suffixed(Protocol):
    """A format whose files are known by the end of their names, `suffixes` in lower case."""

    @property
    def suffixes(self) -> tuple[str, ...]:
        """The usual one first."""


Named = TypeVar("Named", bound=Suffixed)


def named_format(path: str | Path, formats: Sequence[Named], carrying: str) -> Named:
    """The format a file's name stands for; raises FormatError where it is none."""
    name = Path(path).name.lower()
    for known in formats:
        if name.endswith(known.suffixes):
            return known
    suffixes = ", ".join(suffix for known in formats for suffix in known.suffixes)
    raise FormatError(
        f"{path} has no name of a format that carries {carrying}: use one of {suffixes}.",
        path=str(path),
    )


def refused(path: Path, what: str, place: str = "") -> FormatError:
    """The error that says what is wrong with a file: its path, then `what`."""
    return FormatError(f"{path} {what}.", path=str(path), place=place)


def refuse_larger(path: Path, most_bytes: int, advice: str = "cut it to your area") -> None:
    """Raise FormatError, with the advice, where a file is larger; before a byte of it is read."""
    if path.stat().st_size > most_bytes:
        raise refused(path, f"is larger than {most_bytes // 1_000_000} MB: {advice}")


def text_of(path: Path, most_bytes: int) -> str:
    """The whole text of a file in UTF-8; raises FormatError where it is larger or is none."""
    refuse_larger(path, most_bytes)
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        place = f"byte {error.start + 1}"
        raise refused(path, f"is not in UTF-8 ({place}): save it as UTF-8", place) from error


@contextmanager
def reading(path: Path) -> Iterator[None]:
    """A block that reads the file: an empty one is refused, and what the disk refuses told."""
    try:
        if path.is_file() and path.stat().st_size == 0:
            raise refused(path, "is empty: fetch the file again")
        yield
    except OSError as error:
        raise refused(path, f"cannot be read: {error.strerror or error}") from error
