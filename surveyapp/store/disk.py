"""Files that appear whole or not at all, even when the power goes."""

from __future__ import annotations

import os
import time
from pathlib import Path

from surveyapp.errors import NotebookError
from surveyapp.model import new_id

TEMPORARY = ".incoming-"
"""How the names of files under way begin."""


ABANDONED_S = 3600.0
"""How old a file under way is at least when its program has surely ended."""


def temporary_beside(path: Path) -> Path:
    """A fresh temporary name in the folder of `path`."""
    return path.with_name(f"{TEMPORARY}{new_id()}")


def sweep(folder: Path, begins: str = TEMPORARY) -> list[Path]:
    """Remove what a killed program left under way in a folder; what cannot be removed stays.

    Gives those that were removed.
    """
    gone = []
    for path in folder.glob(f"{begins}*"):
        try:
            if path.stat().st_mtime < time.time() - ABANDONED_S:
                path.unlink()
                gone.append(path)
        except OSError:
            continue
    return gone


def write_whole(path: Path, content: bytes) -> None:
    """Write a file under a temporary name, flush it, rename it, flush its folder.

    Raises OSError, with nothing left behind, where the disk refuses.
    """
    temporary = temporary_beside(path)
    try:
        with open(temporary, "xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError:
        temporary.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)


def put_in_place(temporary: Path, path: Path) -> None:
    """Give a finished file its name, on disk, unless something of that name is there already.

    Raises NotebookError in that case; OSError where the disk refuses.
    """
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise already_there(path) from None
    except OSError:  # a file system without hard links, as on memory cards
        if path.exists():
            raise already_there(path) from None
        os.replace(temporary, path)
    flush_folder(path.parent)


def already_there(path: Path) -> NotebookError:
    """The refusal to write over something."""
    return NotebookError(
        f"There is already something at {path}: open it, or choose another name.", path=str(path)
    )


def flush_folder(folder: Path) -> None:
    """Put a folder's entries on disk, where the system can (POSIX fsync of a directory)."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return  # Windows opens no folders; its file system journals the rename
    try:
        os.fsync(handle)
    except OSError:
        return  # some network file systems know no such flush
    finally:
        os.close(handle)
