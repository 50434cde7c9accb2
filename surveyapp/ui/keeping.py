"""Keeping a notebook: where it lies, its backups, whether it is whole, another one merged in.

The work is done by `Background`, on a connection of its own. No Kivy here.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.store.notebook import Notebook
from surveyapp.ui.book.rows import BookRow
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.words import counted, day_text, joined, number

if TYPE_CHECKING:
    from surveyapp.store.merge import Conflict

FOLDER = "backups"  # as surveyapp.keeping has it, which opens slower than this
DAILY_ON, DAILY_KEPT = "daily_backups", "daily_backups_kept"
DAILY_NUMBERS = (3, 7, 14)
IN_PLACE, BESIDE = "in place", "beside"
WHY = {"": "Made on request", "daily": "Made by itself", "before restoring": "Before another came"}
MERGED = "merged_from"
MEGABYTE = 1e6


def where_words(notebook: Notebook) -> str:
    """Path and size of the file, and how many pictures lie beside it."""
    size = number(notebook.path.stat().st_size / MEGABYTE, 1)
    folder = notebook.photo_folder
    files = sum(1 for _ in folder.iterdir()) if folder.is_dir() else 0
    pictures = f"{counted(files, 'picture')} in the folder {folder.name} beside it"
    return f"{notebook.path}\n{size} MB, with {pictures}."


def folder_of(path: Path) -> Path:
    """Where the backups of the notebook at `path` are."""
    return path.parent / FOLDER


def backed_up(path: Path, moment: str, _leave: Callable[[], bool]) -> str:
    """Write the notebook with its pictures to one file; what was done, in a sentence."""
    from surveyapp.keeping import back_up, dated

    out = dated(path, folder_of(path), datetime.fromisoformat(moment))
    with Notebook.open(path) as notebook:
        pictures = back_up(notebook, out)
    return f"Written with {counted(pictures, 'picture')}: {out}"


def backed_up_daily(path: Path, moment: str, _leave: Callable[[], bool]) -> str:
    """Write the day's backup where it is wanted and due; what was done, or nothing."""
    from surveyapp.keeping import back_up_daily

    with Notebook.open(path) as notebook:
        if not notebook.setting(DAILY_ON, True):
            return ""
        keep = notebook.setting(DAILY_KEPT, DAILY_NUMBERS[0])
        now = datetime.fromisoformat(moment)
        out = back_up_daily(notebook, folder_of(path), now, keep)
    return f"Written by itself: {out.name}" if out else ""


def backup_rows(notebook: Notebook) -> list[BookRow]:
    """The backups there are, the newest first; a row's id is its file's name."""
    from surveyapp.keeping import backups_in

    return [
        BookRow(
            icon="folder",
            text=f"{day_text(one.made.date())}, {one.made:%H:%M}",
            detail=joined([WHY[one.why], _size(one.size_bytes)]),
            row_id=one.path.name,
        )
        for one in backups_in(folder_of(notebook.path), notebook.path)
    ]


def _size(size_bytes: int) -> str:
    if size_bytes < MEGABYTE / 10:
        return f"{number(size_bytes / 1000, 0)} kB"
    return f"{number(size_bytes / MEGABYTE, 1)} MB"


def taken_back(path: Path, asked: str, _leave: Callable[[], bool]) -> str:
    """Restore a backup: `asked` tells its name, the moment, and whether in the notebook's place
    (IN_PLACE) or beside it; what was done, in sentences."""
    from surveyapp.keeping import BEFORE, dated, restore_over, restore_to

    name, moment, how = json.loads(asked)
    file, now = folder_of(path) / name, datetime.fromisoformat(moment)
    if how == IN_PLACE:
        kept = dated(path, folder_of(path), now, BEFORE)
        with Notebook.open(path) as notebook:
            restored = restore_over(file, notebook, kept)
        said = f"Taken back with {counted(restored.rows, 'row')}. What was here before: {kept.name}"
    else:
        target = path.with_name(f"{path.stem} {now:%Y-%m-%d %H%M%S}{path.suffix}")
        restored = restore_to(file, target)
        said = f"Made beside this one, with {counted(restored.rows, 'row')}: {target.name}"
    return "\n".join([said, *restored.pictures_lost])


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
