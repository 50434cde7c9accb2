"""`surveyapp restore`: a notebook out of its backup."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import DamagedNotebook, NewerNotebook, NotebookError

if TYPE_CHECKING:
    from surveyapp.store.notebook import Notebook


@click.command(cls=Command, short_help="A notebook out of its backup.")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("notebook", type=click.Path(path_type=Path))
@json_option
def command(file: Path, notebook: Path, as_json: bool) -> None:
    """Make NOTEBOOK anew from FILE, which `backup` wrote; nothing is written over.

    Every byte is held against its hash, and the notebook is checked whole before it appears.
    """
    from surveyapp.exchange.backup import unpack_backup

    photos = notebook.with_name(f"{notebook.stem}.photos")
    for path in (notebook, photos):
        if path.exists():
            raise NotebookError(f"{path} is there already: choose another name.", path=str(path))
    with (
        tempfile.TemporaryDirectory() as folder,
        _opened(unpack_backup(file, Path(folder)), file) as opened,
    ):
        damages = opened.check()
        if damages:
            raise DamagedNotebook(f"{file} holds a damaged notebook: {damages[0]}")
        entries = len(opened.rows_of())
        opened.backup_to(notebook)
    lines = [f"{notebook} was made, with {entries} entries."]
    answer({"notebook": str(notebook), "entries": entries}, lines, as_json=as_json)


def _opened(unpacked: Path, file: Path) -> Notebook:
    """The notebook a backup held; what speaks against it is told of the backup itself."""
    from surveyapp.store.notebook import Notebook

    try:
        return Notebook.open(unpacked)
    except NewerNotebook as error:
        raise NewerNotebook(
            f"{file} was made by a newer version of this program: install that, then restore.",
            path=str(file),
        ) from error
    except NotebookError as error:
        raise DamagedNotebook(
            f"{file} holds no notebook that can be opened: choose another backup.", path=str(file)
        ) from error
