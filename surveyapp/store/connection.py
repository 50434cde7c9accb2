"""One connection to the notebook's file; SQLite's errors leave here as sentences.

sqlite-utils runs the schema steps (schema.py); rows are written by plain prepared statements,
because one save on the phone must cost little more than the disk's own flush. The two never
share a transaction, and every transaction is opened and closed here, explicitly.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from surveyapp.errors import (
    DamagedNotebook,
    InvalidValue,
    LockedNotebook,
    NotebookError,
    ReadOnlyNotebook,
    SurveyError,
)

BUSY_S = 2.0
"""How long a statement waits for another program's lock before it gives up."""


LARGE_CACHE_KIB = 65_536
_REFUSALS = (sqlite3.Error, UnicodeError, OverflowError)


def told(error: Exception, path: Path) -> SurveyError:
    """The error of this project that says what SQLite's error means for the surveyor."""
    where = str(path)
    if isinstance(error, UnicodeEncodeError | OverflowError):
        return InvalidValue(f"A value asked for can stand in no notebook: {error}.")
    match getattr(error, "sqlite_errorcode", 0) & 0xFF:
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return locked(path)
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_PERM:
            return ReadOnlyNotebook(
                f"Nothing can be written beside {where}: move the notebook to a folder you "
                "may write to.",
                path=where,
            )
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB | sqlite3.SQLITE_FORMAT:
            return DamagedNotebook(
                f"The notebook {where} is damaged: keep it as it is and open a backup.",
                path=where,
            )
        case sqlite3.SQLITE_FULL:
            return NotebookError(
                f"The disk that holds {where} is full: free some space and try again; "
                "the last change was not saved.",
                path=where,
            )
        case sqlite3.SQLITE_IOERR:
            return NotebookError(
                f"The disk that holds {where} failed to read or write: the last change was "
                "not saved; try again.",
                path=where,
            )
    return NotebookError(f"The notebook {where} could not be used: {error}.", path=where)


def locked(path: Path) -> LockedNotebook:
    """The refusal where another program does not let go of a file."""
    return LockedNotebook(
        f"Another program is using {path}: close it there, then try again.", path=str(path)
    )


class Connection:
    """An open notebook file. It belongs to the thread that opened it."""

    def __init__(self, path: Path, mode: str = "rw") -> None:
        """Open `path` in one of SQLite's URI modes, 'rw' or 'ro'; it must exist."""
        self.path = path
        try:
            self._raw = sqlite3.connect(
                f"{path.absolute().as_uri()}?mode={mode}",
                uri=True,
                isolation_level=None,
                timeout=BUSY_S,
                cached_statements=256,
            )
        except sqlite3.Error as error:
            raise told(error, path) from error
        self._execute = self._raw.execute

    def prepare(self) -> None:
        """Durable commits and kept references, for this connection."""
        self.run("PRAGMA journal_mode = WAL")
        self.run("PRAGMA synchronous = FULL")
        self.run("PRAGMA foreign_keys = ON")

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query."""
        try:
            return self._execute(sql, values).fetchall()
        except _REFUSALS as error:
            raise told(error, self.path) from error

    def each(self, sql: str, values: Sequence[Any] = ()) -> Iterator[tuple[Any, ...]]:
        """The rows of a query one by one, for queries whose rows would fill the memory."""
        try:
            yield from self._execute(sql, values)
        except _REFUSALS as error:
            raise told(error, self.path) from error

    def one(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """The first row of a query, or None."""
        try:
            found: tuple[Any, ...] | None = self._execute(sql, values).fetchone()
        except _REFUSALS as error:
            raise told(error, self.path) from error
        return found

    def run(self, sql: str, values: Sequence[Any] = ()) -> int:
        """Run a statement; the number of the row it inserted, if it did."""
        try:
            return self._execute(sql, values).lastrowid or 0
        except _REFUSALS as error:
            raise told(error, self.path) from error

    def run_many(self, sql: str, values: Iterable[Sequence[Any]]) -> None:
        """Run a statement once for each of `values`."""
        try:
            self._raw.executemany(sql, values)
        except _REFUSALS as error:
            raise told(error, self.path) from error

    @contextmanager
    def change(self) -> Iterator[None]:
        """One transaction: all of it is on disk when the block ends, or none of it ever is."""
        self.run("BEGIN IMMEDIATE")
        try:
            yield
            self.run("COMMIT")
        except BaseException:
            if self._raw.in_transaction:
                self._raw.execute("ROLLBACK")
            raise

    @contextmanager
    def large_cache(self) -> Iterator[None]:
        """More pages in memory meanwhile: rows under random ids are written all over the file."""
        usual = self.one("PRAGMA cache_size")
        self.run(f"PRAGMA cache_size = -{LARGE_CACHE_KIB}")
        try:
            yield
        finally:
            self.run(f"PRAGMA cache_size = {usual[0] if usual else 0}")

    def copy_to(self, path: Path) -> None:
        """A whole copy of the database at `path`, by SQLite's online backup."""
        try:
            with closing(sqlite3.connect(path)) as target:
                self._raw.backup(target)
        except sqlite3.Error as error:
            raise told(error, path) from error

    def copy_over(self, other: Connection) -> None:
        """Put the whole content of this database in the place of another's, as one transaction.

        Raises LockedNotebook where a third program uses that for longer than BUSY_S.
        """
        until = time.monotonic() + BUSY_S

        def patience(*_: int) -> None:
            if time.monotonic() > until:
                raise locked(other.path)

        try:
            self._raw.backup(other._raw, progress=patience, sleep=0.05)
            other._raw.execute("PRAGMA wal_checkpoint(PASSIVE)")
        except sqlite3.Error as error:
            raise told(error, other.path) from error

    def close(self) -> None:
        """Close the file; the last one to close it folds the write-ahead log into it."""
        self._raw.close()
