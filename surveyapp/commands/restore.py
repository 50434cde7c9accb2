"""`surveyapp restore`: a notebook out of its backup."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import open_notebook
from surveyapp.commands.output import answer, json_option


@click.command(cls=Command, short_help="A notebook out of its backup.")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--replace", is_flag=True,
              help="Put it in the place of NOTEBOOK, which is backed up first.")  # fmt: skip
@json_option
def command(file: Path, notebook: Path, replace: bool, as_json: bool) -> None:
    """Make NOTEBOOK anew from FILE, which `backup` or the app wrote.

    Every byte is held against its hash, and the notebook is checked whole before it appears.
    Nothing is written over: with --replace what NOTEBOOK holds now goes to a backup first, in
    the folder of backups beside it, also while the app has it open.
    """
    from surveyapp.keeping import BEFORE, FOLDER, dated, restore_over, restore_to

    kept = None
    if replace:
        kept = dated(notebook, notebook.parent / FOLDER, datetime.now(), BEFORE)
        with open_notebook(notebook) as opened:
            restored = restore_over(file, opened, kept)
    else:
        restored = restore_to(file, notebook)
    values = {
        "notebook": str(notebook),
        "entries": restored.rows,
        "kept": None if kept is None else str(kept),
        "pictures_lost": list(restored.pictures_lost),
    }
    done = "was put back" if replace else "was made"
    lines = [f"{notebook} {done}, with {restored.rows} entries.", *restored.pictures_lost]
    lines += [f"What it held before is in {kept}."] if kept is not None else []
    answer(values, lines, as_json=as_json)
