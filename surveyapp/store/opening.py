"""Opening a notebook's file: everything that speaks against it is told before it is touched."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from surveyapp.errors import (
    DamagedNotebook,
    NewerNotebook,
    NotANotebook,
    NotebookError,
    ReadOnlyNotebook,
    SurveyError,
)
from surveyapp.store.connection import Connection, told
from surveyapp.store.disk import already_there, put_in_place, temporary_beside
from surveyapp.store.identity import APPLICATION_ID, SCHEMA

CHECKED_BYTES = 16 * 2**20
"""A file up to this size is checked whole whenever it is opened (some 20 ms); a larger one only
by its header and its schema, so that opening takes the same time for ever. `Notebook.check`
reads all of any file."""

_FAR_FUTURE = 1000  # a schema of this number was never written; a flipped bit was
_RUN_BY_THEMSELVES = "SELECT type, name FROM sqlite_schema WHERE type IN ('trigger', 'view')"
_MAGIC = b"SQLite format 3\0"  # sqlite.org/fileformat.html, section 1.3, as are the offsets below


def create_file(path: Path) -> None:
    """Make an empty notebook at `path`, whole or not at all.

    Raises NotebookError where something is there already, ReadOnlyNotebook where nothing can
    be written.
    """
    with new_file(path) as temporary:
        temporary.touch(exist_ok=False)
        upgrade(temporary)


@contextmanager
def new_file(path: Path) -> Iterator[Path]:
    """A temporary file for the block to fill, which then gets the name `path`.

    Raises what `create_file` raises.
    """
    if path.exists():
        raise already_there(path)
    if not path.parent.is_dir() or not os.access(path.parent, os.W_OK | os.X_OK):
        raise ReadOnlyNotebook(
            f"Nothing can be written to {path.parent}: choose another folder.", path=str(path)
        )
    temporary = temporary_beside(path)
    try:
        yield temporary
        put_in_place(temporary, path)
    except NotebookError as error:
        # nobody knows the temporary name
        error.args = (str(error).replace(str(temporary), str(path)),)
        error.path = str(path)
        raise
    except SurveyError:
        raise
    except OSError as error:
        raise NotebookError(
            f"{path} could not be written: {error.strerror}. Make room or choose another folder.",
            path=str(path),
        ) from error
    finally:
        temporary.unlink(missing_ok=True)


def upgrade(path: Path, stop_before: str | None = None) -> None:
    """Run the schema's pending steps; each is done whole or not at all."""
    from sqlite_utils import Database

    from surveyapp.store.schema import STEPS

    raw = sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)
    try:
        db = Database(raw, execute_plugins=False)
        db.execute("PRAGMA synchronous = FULL")
        STEPS.apply(db, stop_before=stop_before)
        db.enable_wal()
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.Error as error:
        raise told(error, path) from error
    finally:
        raw.close()


def open_file(path: Path, whole: bool = True) -> Connection:
    """A connection to the notebook at `path`, upgraded to this program's schema.

    Without `whole` only its header and its schema are looked at; call `judge_whole` soon.

    Raises the fitting NotebookError, with nothing touched: NotANotebook, NewerNotebook,
    DamagedNotebook, LockedNotebook or ReadOnlyNotebook.
    """
    version = _judge_header(path)
    if not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK | os.X_OK)):
        raise ReadOnlyNotebook(
            f"The notebook {path} lies where nothing can be written: copy it to a folder you "
            "may write to, then open the copy.",
            path=str(path),
        )
    _judge_content(path, whole and path.stat().st_size <= CHECKED_BYTES)
    if version < SCHEMA:
        upgrade(path)
    connection = Connection(path)
    try:
        version = _version_of(connection)
        _judge_version(version, path)
        if version < SCHEMA:
            raise _damaged(path)
        connection.prepare()
    except BaseException:
        connection.close()
        raise
    return connection


def _version_of(connection: Connection) -> int:
    found = connection.one("PRAGMA user_version")
    connection.one("SELECT count(*) FROM sqlite_schema")
    return int(found[0]) if found else 0


def _judge_version(version: int, path: Path) -> None:
    if version > SCHEMA:
        raise NewerNotebook(
            f"The notebook {path} was written by a newer version of this program (schema "
            f"{version}, here {SCHEMA}): install the new version and open it again.",
            path=str(path),
        )


def _judge_header(path: Path) -> int:
    """The schema version in the file's first bytes, read without SQLite."""
    where = str(path)
    try:
        if not path.exists():
            raise NotebookError(f"There is no notebook at {path}: check the name.", path=where)
        if not path.is_file():
            raise NotANotebook(f"{path} is no file: choose a notebook.", path=where)
        with open(path, "rb") as file:
            header = file.read(100)
    except NotebookError:
        raise
    except OSError as error:
        raise NotebookError(
            f"The notebook {path} cannot be read: {error.strerror}.", path=where
        ) from error
    marked = int.from_bytes(header[68:72]) == APPLICATION_ID
    if not marked and not _holds_our_tables(path):
        raise NotANotebook(f"{path} is not a notebook: choose another file.", path=where)
    version = int.from_bytes(header[60:64])
    if not marked or not header.startswith(_MAGIC) or not 0 < version < _FAR_FUTURE:
        raise _damaged(path)
    _judge_version(version, path)
    return version


def _holds_our_tables(path: Path) -> bool:
    """Whether an unmarked file is a notebook all the same: its mark is what was damaged."""
    try:
        connection = Connection(path, "ro&immutable=1")
    except NotebookError:
        return False
    try:
        found = connection.one(
            "SELECT count(*) FROM sqlite_schema WHERE name IN ('journal_action', 'sighting')"
        )
        return found == (2,)
    except NotebookError:
        return False
    finally:
        connection.close()


def judge_whole(path: Path) -> None:
    """What `open_file` without `whole` left out, for a notebook that is open meanwhile.

    Raises DamagedNotebook, with nothing touched.
    """
    _judge_content(path, path.stat().st_size <= CHECKED_BYTES, in_use=True)


def _judge_content(path: Path, whole: bool, in_use: bool = False) -> None:
    """The file's length, what its schema would run, and SQLite's quick check, on a view that can
    change nothing.

    Where another program has it open, or one was killed, the newest pages stand in the
    write-ahead log: then the view must read that too, and so cannot be an immutable one.
    """
    log = path.with_name(path.name + "-wal")
    in_use = in_use or (log.exists() and log.stat().st_size > 0)
    if not in_use and path.stat().st_size < _length_told(path):
        raise _damaged(path)
    connection = Connection(path, "ro" if in_use else "ro&immutable=1")
    try:
        foreign = connection.one(_RUN_BY_THEMSELVES)
        found = connection.rows("PRAGMA quick_check(1)") if whole and not foreign else [("ok",)]
    except NotebookError as error:
        if type(error) is NotebookError:  # no class of its own: SQLite cannot make sense of it
            raise _damaged(path) from error
        raise
    finally:
        connection.close()
    if foreign is not None:
        raise NotANotebook(
            f"{path} holds a {foreign[0]} '{str(foreign[1])[:40]}', which no notebook has and "
            "which could change or hide entries: it was not opened. Open a backup.",
            path=str(path),
        )
    if found != [("ok",)]:
        raise _damaged(path)


def _length_told(path: Path) -> int:
    """The length in bytes that the header gives; a copy that broke off is shorter."""
    with open(path, "rb") as file:
        header = file.read(100)
    page_size = int.from_bytes(header[16:18])
    return int.from_bytes(header[28:32]) * (65536 if page_size == 1 else page_size)


def _damaged(path: Path) -> DamagedNotebook:
    return DamagedNotebook(
        f"The notebook {path} is damaged: keep it as it is and open a backup.", path=str(path)
    )
