"""A notebook kept safe: dated backups with a limit, and a notebook out of one of them again."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from surveyapp.errors import DamagedNotebook, NewerNotebook, NotebookError, SurveyError
from surveyapp.exchange.backup import DATABASE, unpack_backup, write_backup
from surveyapp.exchange.files import temporary_folder
from surveyapp.store.keeping import photo_folder_of
from surveyapp.store.notebook import Notebook
from surveyapp.store.rows import KINDS

FOLDER = "backups"  # beside the notebook
DAILY, BEFORE = "daily", "before restoring"
ROOM_BYTES = 200 * 10**6  # what a backup leaves free on the disk at least, our choice
ABANDONED_S = 86_400.0  # a younger file may still be under way
_NAME = re.compile(
    r"(?P<stem>.+) (?P<made>\d{4}-\d\d-\d\d \d{6})(?: (?P<why>daily|before restoring))?"
    r"\.backup\.zip"
)
_MOMENT = "%Y-%m-%d %H%M%S"


@dataclass(frozen=True, kw_only=True, slots=True)
class Backup:
    """A dated backup as its name tells it: when it was made, by the local clock, and why: on
    request (''), DAILY, or BEFORE another was put in the notebook's place."""

    path: Path
    made: datetime
    why: str
    size_bytes: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Restored:
    """What restoring gave: how many rows, and the pictures that are missing or damaged."""

    rows: int
    pictures_lost: tuple[str, ...]


def dated(notebook: Path, folder: Path, now: datetime, why: str = "") -> Path:
    """The name of a backup made at this moment of the local clock."""
    told = f" {why}" if why else ""
    return folder / f"{notebook.stem} {now:{_MOMENT}}{told}.backup.zip"


def backups_in(folder: Path, notebook: Path) -> list[Backup]:
    """This notebook's dated backups in a folder, the newest first."""
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        match = _NAME.fullmatch(path.name)
        if match is None or match["stem"] != notebook.stem:
            continue
        try:
            made = datetime.strptime(match["made"], _MOMENT)
            size = path.stat().st_size
        except (ValueError, OSError):
            continue
        found.append(Backup(path=path, made=made, why=match["why"] or "", size_bytes=size))
    return sorted(found, key=lambda one: (one.made, one.path.name), reverse=True)


def back_up(notebook: Notebook, out: Path) -> int:
    """Write the notebook as it stands, with its pictures, to one file; how many pictures.

    Raises NotebookError where the file is there already or the disk has no room.
    """
    if out.exists():
        raise NotebookError(f"{out} is there already: choose another name.", path=str(out))
    with _disk_refusals(out), temporary_folder() as workspace:
        out.parent.mkdir(parents=True, exist_ok=True)
        _sweep(out.parent)
        copy = workspace / DATABASE
        pictures = notebook.snapshot_to(copy)
        size = copy.stat().st_size + sum(path.stat().st_size for path in pictures.values())
        if shutil.disk_usage(out.parent).free < size + ROOM_BYTES:
            raise NotebookError(
                f"The disk has no room for a backup of {size / 1e6:.0f} MB in {out.parent}: free "
                "some, or take old backups away.",
                path=str(out),
            )
        write_backup(copy, pictures, out)
    return len(pictures)


@contextmanager
def _disk_refusals(out: Path) -> Iterator[None]:
    try:
        yield
    except SurveyError:
        raise
    except OSError as error:
        raise NotebookError(
            f"{out} could not be written ({error.strerror or error}): choose another place.",
            path=str(out),
        ) from error


def _sweep(folder: Path) -> None:
    """Remove what a backup left half done when the program was killed."""
    for path in folder.glob(".*.backup.zip.*"):
        if path.stat().st_mtime < time.time() - ABANDONED_S:
            path.unlink(missing_ok=True)


def remove_older(folder: Path, notebook: Path, keep: int, why: str = "") -> list[Path]:
    """Remove this notebook's dated backups of one reason but the newest `keep`; those removed."""
    found = [one.path for one in backups_in(folder, notebook) if one.why == why]
    for path in found[keep:]:
        path.unlink(missing_ok=True)
    return found[keep:][::-1]


def daily_is_due(notebook: Notebook, folder: Path, now: datetime) -> bool:
    """Whether a day has begun, by the local clock `now`, since the last daily backup, and
    something was changed since then."""
    last = next((one for one in backups_in(folder, notebook.path) if one.why == DAILY), None)
    newest = notebook.history(1)
    if not newest:
        return False
    if last is None or last.made.date() > now.date():  # one of the future: the clock was wrong
        return True
    changed = newest[0].when_utc.astimezone(now.tzinfo).replace(tzinfo=None)
    return last.made.date() < now.date() and changed > last.made


def back_up_daily(notebook: Notebook, folder: Path, now: datetime, keep: int) -> Path | None:
    """Write the day's backup where it is due and keep the newest `keep`; its path."""
    if not daily_is_due(notebook, folder, now):
        return None
    out = dated(notebook.path, folder, now, DAILY)
    back_up(notebook, out)
    remove_older(folder, notebook.path, keep, DAILY)
    return out


@contextmanager
def unpacked(file: Path) -> Iterator[Notebook]:
    """The notebook in a backup, unpacked, every byte held against its hash and checked; it goes
    with the block. Raises FormatError, DamagedNotebook or NewerNotebook."""
    with (
        temporary_folder() as folder,
        _opened(unpack_backup(file, folder), file) as opened,
    ):
        damages = opened.check_file()
        if damages:
            raise DamagedNotebook(f"{file} holds a damaged notebook: {damages[0]}")
        yield opened


def restore_to(file: Path, target: Path) -> Restored:
    """Make a new notebook of a backup. NotebookError where something is there already."""
    for path in (target, photo_folder_of(target)):
        if path.exists():
            raise NotebookError(f"{path} is there already: choose another name.", path=str(path))
    with unpacked(file) as opened:
        opened.backup_to(target)
        return Restored(rows=_rows_in(opened), pictures_lost=tuple(opened.check_pictures()))


def restore_over(file: Path, notebook: Notebook, kept: Path) -> Restored:
    """Put a backup in the notebook's place, also while it is open elsewhere; what it was before
    is written to the backup `kept` first."""
    with unpacked(file) as opened:
        back_up(notebook, kept)
        rows = _rows_in(opened)
        notebook.take_content_of(opened)
    return Restored(rows=rows, pictures_lost=tuple(notebook.check_pictures()))


def _rows_in(notebook: Notebook) -> int:
    return sum(notebook.count(kind) for kind in KINDS)


def _opened(unpacked: Path, file: Path) -> Notebook:
    """The notebook a backup held; what speaks against it is told of the backup itself."""
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
