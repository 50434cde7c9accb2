"""`surveyapp import`: bring surveys, walks and leads from files into a notebook."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import InvalidValue

if TYPE_CHECKING:
    from surveyapp.store.notebook import Notebook


@dataclass(frozen=True, kw_only=True, slots=True)
class _Kept:
    """What became of a file's rows: new, newer than those there, and known already."""

    new: int
    changed: int = 0
    known: int
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    """A file that was read, and how its good rows are kept."""

    file: Path
    noun: str
    keep: Callable[[Notebook], _Kept]
    problems: tuple[str, ...]
    notes: tuple[str, ...] = ()


@click.command(cls=Command, name="import", short_help="Bring files into a notebook.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE..."
)
@click.option("--all-or-nothing", is_flag=True, help="Keep nothing where one row is wrong.")
@click.option("--tracks", is_flag=True, help="Take the tracks of GPX files, not their waypoints.")
@json_option
def command(
    notebook: Path, files: tuple[Path, ...], all_or_nothing: bool, tracks: bool, as_json: bool
) -> None:
    """Bring FILEs into NOTEBOOK: surveys that export wrote, GPX tracks and NMEA logs (as the
    stops along them), or leads (CSV, GeoJSON, GPX waypoints, KML placemarks).

    The notebook is made where there is none yet. Of what it holds already the newer stands, so
    the same file twice changes nothing; rows that are wrong are listed with their place.
    """
    from surveyapp.store.notebook import Notebook

    told: list[dict[str, object]] = []
    lines: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        workspace = Path(folder)
        read = [_read(file, workspace, tracks) for file in files]  # all, before any is kept
        wrong = [f"{one.file}, {problem}" for one in read for problem in one.problems]
        if all_or_nothing and wrong:
            raise _nothing_kept(wrong)
        with Notebook.open(notebook) if notebook.exists() else Notebook.create(notebook) as opened:
            for one in read:
                kept = one.keep(opened)
                problems = [*one.problems, *kept.problems]
                told.append(_values(one, kept, problems))
                lines.append(f"{one.file}: {_count(one, kept)}.")
                lines += [f"Left out, {problem.rstrip('.')}." for problem in problems]
                lines += one.notes
    answer({"files": told}, lines, as_json=as_json)


def _read(file: Path, workspace: Path, tracks: bool) -> _Read:
    """A file's rows, and how to keep them."""
    from surveyapp.exchange.formats import format_of_file

    if format_of_file(file, tracks=tracks) is None:
        return _read_leads(file)
    return _read_survey(file, workspace, tracks)


def _read_leads(file: Path) -> _Read:
    from surveyapp.exchange.formats import read_leads
    from surveyapp.exchange.leads import new_leads
    from surveyapp.model import Site

    found = read_leads(file)

    def keep(notebook: Notebook) -> _Kept:
        fresh, old = new_leads(found.leads, notebook.all(Site))
        if fresh:
            notebook.save(*fresh, what=f"leads of {file.name}")
        return _Kept(new=len(fresh), known=len(old))

    problems = tuple(str(problem) for problem in found.problems)
    return _Read(file=file, noun="lead", keep=keep, problems=problems)


def _read_survey(file: Path, workspace: Path, tracks: bool) -> _Read:
    from surveyapp.exchange.formats import read_survey

    found = read_survey(file, workspace, tracks=tracks)

    def keep(notebook: Notebook) -> _Kept:
        came = notebook.bring_in(
            found.rows, found.pictures, what=f"rows of {file.name}", all_or_nothing=False
        )
        return _Kept(
            new=came.added,
            changed=came.changed,
            known=came.same + came.older,
            problems=tuple(str(one) for one in came.refused),
        )

    problems = tuple(str(trouble) for trouble in found.troubles)
    return _Read(file=file, noun="row", keep=keep, problems=problems, notes=found.notes)


def _nothing_kept(wrong: list[str]) -> InvalidValue:
    return InvalidValue(
        f"Nothing was brought in, for some rows are wrong: {'; '.join(wrong)}.",
        value=wrong,
        problems=wrong,
    )


def _values(one: _Read, kept: _Kept, problems: list[str]) -> dict[str, object]:
    return {
        "file": str(one.file),
        "new": kept.new,
        "changed": kept.changed,
        "known": kept.known,
        "problems": problems,
        "notes": list(one.notes),
    }


def _count(one: _Read, kept: _Kept) -> str:
    noun = one.noun if kept.new == 1 else f"{one.noun}s"
    changed = f", {kept.changed} changed" if kept.changed else ""
    return f"{kept.new} new {noun}{changed}, {kept.known} in the notebook already"
