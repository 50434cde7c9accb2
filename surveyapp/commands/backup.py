"""`surveyapp backup`: a whole notebook in one file, also while the app has it open."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import open_notebook
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import InvalidValue


@click.command(cls=Command, short_help="A whole notebook in one file.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--into", type=click.Path(path_type=Path, file_okay=False), metavar="FOLDER",
              help="Instead of FILE: a dated file in this folder.")  # fmt: skip
@click.option("--keep", type=click.IntRange(1, 1000), metavar="N",
              help="Of the dated files in FOLDER keep the newest N.")  # fmt: skip
@json_option
def command(
    notebook: Path, file: Path | None, into: Path | None, keep: int | None, as_json: bool
) -> None:
    """Write NOTEBOOK as it stands now, with its pictures, to FILE; `restore` brings it back.

    Nothing is hidden in it: it is for yourself, not for publishing.
    """
    from surveyapp.keeping import back_up, dated, remove_older

    if (file is None) == (into is None):
        raise InvalidValue("Give either FILE or --into FOLDER.")
    if keep is not None and into is None:
        raise InvalidValue("--keep goes with --into FOLDER.")
    out = file if file is not None else dated(notebook, into or Path(), datetime.now())
    with open_notebook(notebook) as opened:
        pictures = back_up(opened, out)
    removed = remove_older(into, notebook, keep) if into is not None and keep is not None else []
    values = {"file": str(out), "pictures": pictures, "removed": [str(path) for path in removed]}
    lines = [f"{out} was written; pictures in it: {pictures}."]
    lines += [f"{path} was removed: it was older than the newest {keep}." for path in removed]
    answer(values, lines, as_json=as_json)
