"""What `surveyapp import` says of each file: what was read, and what became of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from surveyapp.model import Row
    from surveyapp.store.notebook import Notebook


@dataclass(frozen=True, kw_only=True, slots=True)
class Kept:
    """What became of a file's rows: new, newer than those there, and known already."""

    new: int
    changed: int = 0
    known: int = 0
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Read:
    """A file, or files of one kind, that were read, and how the good rows are kept.

    `rows` are those that have their own ids and stamps, as a survey's have; `pictures` those of
    its photos.
    """

    file: str
    noun: str
    keep: Callable[[Notebook], Kept]
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    pictures: tuple[Path, ...] = ()


def values_of(one: Read, kept: Kept) -> dict[str, object]:
    """The answer in JSON."""
    return {
        "file": one.file,
        "new": kept.new,
        "changed": kept.changed,
        "known": kept.known,
        "problems": [*one.problems, *kept.problems],
        "notes": [*one.notes, *kept.notes],
    }


def lines_of(one: Read, kept: Kept) -> list[str]:
    """The answer in words: the count, each row left out, and what to know."""
    noun = one.noun if kept.new == 1 else f"{one.noun}s"
    changed = f", {kept.changed} changed" if kept.changed else ""
    left_out = [f"Left out, {said.rstrip('.')}." for said in (*one.problems, *kept.problems)]
    first = f"{one.file}: {kept.new} new {noun}{changed}, {kept.known} in the notebook already."
    return [first, *left_out, *one.notes, *kept.notes]
