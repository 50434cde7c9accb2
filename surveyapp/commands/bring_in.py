"""`surveyapp import`: bring surveys, walks, leads, runs and photos into a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.arrival import Kept, Read, lines_of, values_of
from surveyapp.commands.arriving_files import Goal, read_photos, read_runs, sorted_files
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import InvalidValue

if TYPE_CHECKING:
    from surveyapp.store.notebook import Notebook


@click.command(cls=Command, name="import", short_help="Bring files into a notebook.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE..."
)
@click.option("--all-or-nothing", is_flag=True, help="Keep nothing where one row is wrong.")
@click.option("--tracks", is_flag=True, help="Take the tracks of GPX files, not their waypoints.")
@click.option("--survey", metavar="TITLE", help="The survey of runs and photos, by its title.")
@click.option("--stop", type=int, metavar="N", help="The stop of runs and photos, by its number.")
@click.option("--device", metavar="NAME", help="The phone that made the runs.")
@json_option
def command(
    notebook: Path,
    files: tuple[Path, ...],
    all_or_nothing: bool,
    tracks: bool,
    as_json: bool,
    **goal: Any,
) -> None:
    """Bring FILEs into NOTEBOOK: surveys that export wrote, GPX tracks and NMEA logs (as the
    stops along them), leads (CSV, GeoJSON, GPX waypoints, KML placemarks), results of iperf3
    --json, output of ping, and photos. A folder stands for the runs and photos in it.

    A run goes to the stop of that day in whose time it was made, a photo by its place and time;
    the reason is told. Two directions and a ping within ten minutes are one run.

    The notebook is made where there is none yet. Of what it holds already the newer stands, so
    the same file twice changes nothing; rows that are wrong are listed with their place.
    """
    from surveyapp.exchange.files import temporary_folder
    from surveyapp.store.notebook import Notebook

    told: list[dict[str, object]] = []
    lines: list[str] = []
    with temporary_folder() as folder:
        read, passed = _read_all(files, folder, tracks, Goal(**goal))
        with _opened(notebook, folder / "none yet") as opened:
            _judge(opened, read, all_or_nothing=all_or_nothing)  # all, before any is kept
        with Notebook.open(notebook) if notebook.exists() else Notebook.create(notebook) as opened:
            for one in read:
                kept = one.keep(opened)
                told.append(values_of(one, kept))
                lines += lines_of(one, kept)
    answer({"files": told, "passed_over": passed}, [*lines, *passed], as_json=as_json)


def _opened(notebook: Path, instead: Path) -> Notebook:
    """The notebook, or an empty one instead where there is none yet."""
    from surveyapp.store.notebook import Notebook

    return Notebook.open(notebook) if notebook.exists() else Notebook.create(instead)


def _judge(opened: Notebook, read: Sequence[Read], *, all_or_nothing: bool) -> None:
    """Raise InvalidValue where nothing may come in."""
    rows = [row for one in read for row in one.rows]
    opened.refuse_mixing(rows)
    if not all_or_nothing:
        return
    wrong = [f"{one.file}, {problem}" for one in read for problem in one.problems]
    wrong += map(str, opened.refusals(rows, [path for one in read for path in one.pictures]))
    if wrong:
        raise _nothing_kept(wrong)


def _read_all(
    files: Sequence[Path], workspace: Path, tracks: bool, goal: Goal
) -> tuple[list[Read], list[str]]:
    """All files, before any is kept; and what was passed over in folders."""
    found = sorted_files(files)
    if not found.runs and goal.device is not None:
        raise InvalidValue("--device says which phone made speed runs: no file holds any.")
    if not (found.runs or found.pictures) and (goal.stop is not None or goal.survey is not None):
        raise InvalidValue("--stop and --survey are for runs and photos: no file holds any.")
    read = [_read(file, workspace, tracks) for file in found.others]
    if found.runs:
        read += read_runs(found.runs, goal)
    if found.pictures:
        read += read_photos(found.pictures, goal)
    return read, list(found.passed)


def _read(file: Path, workspace: Path, tracks: bool) -> Read:
    """A file's rows, and how to keep them."""
    from surveyapp.exchange.formats import format_of_file

    if format_of_file(file, tracks=tracks) is None:
        return _read_leads(file)
    return _read_survey(file, workspace, tracks)


def _read_leads(file: Path) -> Read:
    from surveyapp.exchange.formats import read_leads
    from surveyapp.exchange.leads import new_leads
    from surveyapp.model import Site

    found = read_leads(file)

    def keep(notebook: Notebook) -> Kept:
        fresh, old = new_leads(found.leads, notebook.all(Site))
        if fresh:
            notebook.save(*fresh, what=f"leads of {file.name}")
        return Kept(new=len(fresh), known=len(old))

    problems = tuple(str(problem) for problem in found.problems)
    return Read(file=str(file), noun="lead", keep=keep, problems=problems)


def _read_survey(file: Path, workspace: Path, tracks: bool) -> Read:
    from surveyapp.exchange.formats import read_survey

    found = read_survey(file, workspace, tracks=tracks)

    def keep(notebook: Notebook) -> Kept:
        came = notebook.bring_in(
            found.rows, found.pictures, what=f"rows of {file.name}", all_or_nothing=False
        )
        return Kept(
            new=came.added,
            changed=came.changed,
            known=came.same + came.older,
            problems=tuple(str(one) for one in came.refused),
        )

    problems = tuple(str(trouble) for trouble in found.troubles)
    return Read(
        file=str(file), noun="row", keep=keep, problems=problems, notes=found.notes,
        rows=found.rows, pictures=found.pictures,
    )  # fmt: skip


def _nothing_kept(wrong: list[str]) -> InvalidValue:
    return InvalidValue(
        f"Nothing was brought in, for some rows are wrong: {'; '.join(wrong)}.",
        value=wrong,
        problems=wrong,
    )
