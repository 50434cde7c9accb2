"""Keeping a notebook: where it lies, a backup of it, whether it is whole, another one merged in.

The work is done by `Background`, on a connection of its own. No Kivy here.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.store.notebook import Notebook
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.words import counted, number

if TYPE_CHECKING:
    from surveyapp.store.merge import Conflict

BACKUPS = "backups"
MERGED = "merged_from"
MEGABYTE = 1e6


def where_words(notebook: Notebook) -> str:
    """Path and size of the file, and how many pictures lie beside it."""
    size = number(notebook.path.stat().st_size / MEGABYTE, 1)
    folder = notebook.photo_folder
    files = sum(1 for _ in folder.iterdir()) if folder.is_dir() else 0
    pictures = f"{counted(files, 'picture')} in the folder {folder.name} beside it"
    return f"{notebook.path}\n{size} MB, with {pictures}."


def backup_path(notebook: Notebook, now: datetime) -> Path:
    """The dated file in the folder of backups beside the notebook."""
    folder = notebook.path.parent / BACKUPS
    return folder / f"{notebook.path.stem} {now:%Y-%m-%d %H%M%S}.backup.zip"


def backed_up(path: Path, out: str, _leave: Callable[[], bool]) -> str:
    """Write the notebook with its pictures to one file; what was done, in a sentence."""
    from surveyapp.exchange.backup import DATABASE, write_backup

    target = Path(out)
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / DATABASE
        with Notebook.open(path) as notebook:
            notebook.backup_to(copy)
        photos = copy.with_name(f"{copy.stem}.photos")
        pictures = {one.name: one for one in photos.glob("*")} if photos.is_dir() else {}
        write_backup(copy, pictures, target)
    return f"Written with {counted(len(pictures), 'picture')}: {target}"


def checked(path: Path, _moment: str, _leave: Callable[[], bool]) -> str:
    """Read all of the notebook; each damage in a sentence, or that it is whole."""
    with Notebook.open(path) as notebook:
        return "\n".join(notebook.check()) or "The notebook and its pictures are whole."


def merged(path: Path, other: str, _leave: Callable[[], bool]) -> str:
    """Take over all that another notebook holds; what it brought, in a sentence."""
    with Notebook.open(path) as notebook, Notebook.open(Path(other)) as source:
        found = notebook.merge_from(source)
        notebook.keep_setting(MERGED, other)
    added, changed = counted(found.added, "row"), counted(found.changed, "row")
    return (
        f"{Path(other).name}: {added} new, {changed} changed, "
        f"{counted(found.pictures, 'picture')}; {counted(len(found.conflicts), 'value')} to choose."
    )


@dataclass(frozen=True)
class Question:
    """A field that two notebooks hold differently, and its values to choose from."""

    text: str
    conflict: Conflict
    choices: tuple[Choice, ...]

    def value(self, chosen: str) -> object:
        """The value a chip stands for."""
        return self.conflict.values[int(chosen)]


def questions(notebook: Notebook) -> list[Question]:
    """What a merge left to choose; nothing is looked for where none was made."""
    if not notebook.setting(MERGED, ""):
        return []
    from surveyapp.store.rows import BY_TABLE, title_of
    from surveyapp.store.values import label_of

    told = []
    for conflict in notebook.conflicts():
        row = notebook.get(BY_TABLE[conflict.kind].made, conflict.row_id)
        values = [one if isinstance(one, str) else json.dumps(one) for one in conflict.values]
        choices = [
            Choice(value=str(at), label=value or "nothing", icon="done" if at == 0 else "")
            for at, value in enumerate(values)
        ]
        text = f"The {label_of(conflict.field)} of {title_of(row)}: the first stands now."
        told.append(Question(text, conflict, tuple(choices)))
    return told
