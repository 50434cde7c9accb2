"""`surveyapp import`: bring leads from files into a notebook."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import FormatError

if TYPE_CHECKING:
    from surveyapp.exchange.leads import LeadsRead

PLACES_ONLY = {"track", "nmea"}  # such a file may hold waypoints too


@click.command(cls=Command, name="import", short_help="Bring leads from files into a notebook.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE..."
)
@json_option
def command(notebook: Path, files: tuple[Path, ...], as_json: bool) -> None:
    """Bring the leads of FILEs (CSV, GeoJSON, GPX waypoints, KML placemarks) into NOTEBOOK.

    The notebook is made where there is none yet. Rows it holds already are left as they are,
    so the same file twice changes nothing; rows that are no leads are listed with their place.
    """
    from surveyapp.exchange.leads import new_leads
    from surveyapp.model import Site
    from surveyapp.store.notebook import Notebook

    read = [(file, _read(file)) for file in files]  # all of them, before anything is kept
    told: list[dict[str, object]] = []
    lines: list[str] = []
    with Notebook.open(notebook) if notebook.exists() else Notebook.create(notebook) as opened:
        for file, found in read:
            fresh, old = new_leads(found.leads, opened.all(Site))
            if fresh:
                opened.save(*fresh, what=f"leads of {file.name}")
            problems = [str(problem) for problem in found.problems]
            told.append(
                {"file": str(file), "new": len(fresh), "known": len(old), "problems": problems}
            )
            lines.append(f"{file}: {_count(len(fresh))}, {len(old)} in the notebook already.")
            lines += [f"Left out, {problem.rstrip('.')}." for problem in problems]
    answer({"files": told}, lines, as_json=as_json)


def _read(file: Path) -> LeadsRead:
    """The leads of a file; a whole survey is refused, as its stops are no sites to look for."""
    from surveyapp.exchange.formats import format_of_file, read_leads

    known = format_of_file(file) if file.is_file() else None
    if known is not None and known.key not in PLACES_ONLY:
        raise FormatError(
            f"{file} holds the rows of a survey, which are no leads: give a file of leads.",
            path=str(file),
        )
    return read_leads(file)


def _count(leads: int) -> str:
    return "1 new lead" if leads == 1 else f"{leads} new leads"
