"""`surveyapp restore`: a notebook out of its backup."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import DamagedNotebook, NotebookError


@click.command(cls=Command, short_help="A notebook out of its backup.")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("notebook", type=click.Path(path_type=Path))
@json_option
def command(file: Path, notebook: Path, as_json: bool) -> None:
    """Make NOTEBOOK anew from FILE, which `backup` wrote; nothing is written over.

    Every byte is held against its hash, and the notebook is checked whole before it appears.
    """
    from surveyapp.exchange.backup import unpack_backup
    from surveyapp.store.notebook import Notebook

    photos = notebook.with_name(f"{notebook.stem}.photos")
    for path in (notebook, photos):
        if path.exists():
            raise NotebookError(f"{path} is there already: choose another name.", path=str(path))
    with tempfile.TemporaryDirectory() as folder:
        unpacked = unpack_backup(file, Path(folder))
        with Notebook.open(unpacked) as opened:
            damages = opened.check()
            if damages:
                raise DamagedNotebook(f"{file} holds a damaged notebook: {damages[0]}")
            entries = len(opened.rows_of())
            opened.backup_to(notebook)
    lines = [f"{notebook} was made, with {entries} entries."]
    answer({"notebook": str(notebook), "entries": entries}, lines, as_json=as_json)
