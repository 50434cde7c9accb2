"""`surveyapp backup`: a whole notebook in one file, also while the app has it open."""

from __future__ import annotations

import re
import tempfile
from datetime import datetime
from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import open_notebook
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import InvalidValue, NotebookError


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
    if (file is None) == (into is None):
        raise InvalidValue("Give either FILE or --into FOLDER.")
    if keep is not None and into is None:
        raise InvalidValue("--keep goes with --into FOLDER.")
    out = file if file is not None else dated(notebook, into or Path(), datetime.now())
    if out.exists():
        raise NotebookError(f"{out} is there already: choose another name.", path=str(out))
    pictures = write(notebook, out)
    removed = remove_older(notebook, into, keep) if into is not None and keep is not None else []
    values = {"file": str(out), "pictures": pictures, "removed": [str(path) for path in removed]}
    lines = [f"{out} was written; pictures in it: {pictures}."]
    lines += [f"{path} was removed: it was older than the newest {keep}." for path in removed]
    answer(values, lines, as_json=as_json)


def write(notebook: Path, out: Path) -> int:
    """Write the backup; how many pictures it holds."""
    from surveyapp.exchange.backup import DATABASE, write_backup

    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / DATABASE
        with open_notebook(notebook) as opened:
            opened.backup_to(copy)
        photos = copy.with_name(f"{copy.stem}.photos")
        pictures = {path.name: path for path in photos.glob("*")} if photos.is_dir() else {}
        write_backup(copy, pictures, out)
    return len(pictures)


def dated(notebook: Path, folder: Path, now: datetime) -> Path:
    """The name of a backup made at this moment."""
    return folder / f"{notebook.stem} {now:%Y-%m-%d %H%M%S}.backup.zip"


def remove_older(notebook: Path, folder: Path, keep: int) -> list[Path]:
    """Remove this notebook's dated backups but the newest `keep`; those removed."""
    own = re.compile(re.escape(notebook.stem) + r" \d{4}-\d\d-\d\d \d{6}\.backup\.zip")
    found = sorted(path for path in folder.iterdir() if own.fullmatch(path.name))
    removed = found[:-keep]
    for path in removed:
        path.unlink()
    return removed
