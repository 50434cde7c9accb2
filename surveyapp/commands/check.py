"""`surveyapp check`: whether a notebook is whole."""

from __future__ import annotations

from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option

DAMAGED = 1


@click.command(cls=Command, short_help="Whether a notebook is whole.")
@click.argument("notebook", type=click.Path(path_type=Path))
@json_option
def command(notebook: Path, as_json: bool) -> int:
    """Read all of NOTEBOOK: pages, references, rows, pictures. Exit code 1 where it is damaged."""
    from surveyapp.store.notebook import Notebook

    with Notebook.open(notebook) as opened:
        damages = opened.check()
    lines = damages or [f"{notebook} is whole."]
    answer({"whole": not damages, "damages": damages}, lines, as_json=as_json)
    return DAMAGED if damages else 0
