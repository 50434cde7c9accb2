"""The notebook: one SQLite file and a folder of photos, and all one can do with them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar, cast

from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import Draft, Photo, Reading, Row, Stop, StopScene, Survey
from surveyapp.store.connection import Connection
from surveyapp.store.disk import sweep
from surveyapp.store.drafts import Drafts, Settings
from surveyapp.store.exchange import Exchange
from surveyapp.store.ground import GroundStore
from surveyapp.store.journal import HistoryEntry, Journal
from surveyapp.store.keeping import Keeping, photo_folder_of
from surveyapp.store.opening import create_file, open_file
from surveyapp.store.photos import PhotoFolder
from surveyapp.store.place_names import KeptPlaceNames
from surveyapp.store.rows import kind_of
from surveyapp.store.scene import Scenes
from surveyapp.store.stop_columns import paired_stops, stop_levels, stop_places
from surveyapp.store.tables import Tables
from surveyapp.store.values import take_time
from surveyapp.store.writing import (
    changes_of_deletion,
    changes_of_save,
    said_of_deletion,
    said_of_save,
    take,
)

R = TypeVar("R", bound=Row)
Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The machine's clock."""
    return datetime.now(UTC)


class Notebook(Exchange, Keeping, KeptPlaceNames):
    """A notebook open for work. It belongs to the thread that opened it: another thread opens
    its own on the same path, and each sees what the other has saved.

    Every change is on disk, together with its entry in the journal, when the call returns.
    Any call raises NotebookError (or one of its kinds) where the file or the disk refuses;
    nothing of that change is then kept.
    """

    def __init__(self, connection: Connection, clock: Clock) -> None:
        self.path = connection.path
        self.photo_folder = photo_folder_of(self.path)
        self.ground = GroundStore(connection, clock)
        self._connection = connection
        self._clock = clock
        self._tables = Tables(connection)
        self._journal = Journal(connection, self._tables)
        self._drafts = Drafts(connection)
        self._settings = Settings(connection)
        self._photos = PhotoFolder(self.photo_folder)
        self._photos.sweep(connection)
        sweep(self.path.parent)

    @classmethod
    def create(cls, path: Path | str, clock: Clock = utc_now) -> Self:
        """Make a new, empty notebook at `path` and open it.

        Raises NotebookError where something is there already, ReadOnlyNotebook where nothing
        can be written.
        """
        create_file(Path(path))
        return cls.open(path, clock)

    @classmethod
    def open(cls, path: Path | str, clock: Clock = utc_now) -> Self:
        """Open the notebook at `path`; one of an older schema is upgraded.

        Raises NotANotebook, NewerNotebook, DamagedNotebook, LockedNotebook, ReadOnlyNotebook
        or NotebookError (there is no such file), with nothing touched.
        """
        connection = open_file(Path(path))
        try:
            return cls(connection, clock)
        except BaseException:
            connection.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. Nothing needs to be saved first."""
        self._connection.close()

    # Rows and their journal

    def save(
        self, *rows: R, what: str = "", finished: Draft | None = None, gone: Sequence[Row] = ()
    ) -> tuple[R, ...]:
        """Insert rows, or overwrite those of the same id, as one action; the stamped rows.

        `what` is what undo will call it. `finished` is the sheet this completes: its draft goes
        in the same transaction. Rows in `gone` are deleted in it after the others are written,
        so that what was moved away from them stays. A row that would change nothing is left as
        it is, one that was deleted comes back. Raises InvalidValue, with all that is wrong in
        all rows told in `problems` and nothing written.
        """
        taken, problems = take(rows)
        now = take_time(self._clock())
        with self._connection.change():
            changes, kept = changes_of_save(self._tables, taken, problems, now)
            for change in changes:
                self._tables.write(*change)
            for change in changes_of_deletion(self._tables, gone, now):
                self._tables.write(*change)
                changes.append(change)
            if changes:
                self._journal.append(what or said_of_save(taken, changes), now, changes)
            if finished is not None:
                self._drafts.drop(finished.sheet, finished.stop_id, finished.row_id)
        pairs = zip(taken, kept, strict=True)
        return tuple(cast(R, kind.row(record)) for (kind, _, _), record in pairs)

    def delete(self, *rows: Row, what: str = "") -> None:
        """Delete rows as one action. They stay in the file, marked, for undo.

        What belongs to a deleted row (the entries of a stop, the sectors of a site, the
        readings of a device) is deleted with it; a field of another row that merely names it
        is emptied. Undo brings all of it back. Raises NotFound, with nothing deleted.
        """
        now = take_time(self._clock())
        with self._connection.change():
            changes = changes_of_deletion(self._tables, rows, now)
            for change in changes:
                self._tables.write(*change)
            if changes:
                self._journal.append(what or said_of_deletion(rows, changes), now, changes)

    def get(self, kind: type[R], row_id: str) -> R:
        """The row of this kind and id. Raises NotFound where there is none or it was deleted."""
        record = self._tables.fetch(kind_of(kind), row_id)
        if record is None or record.values[3] is not None:
            state = "is not in the notebook" if record is None else "was deleted"
            raise NotFound(f"The {kind_of(kind).word} {row_id} {state}.")
        return cast(R, kind_of(kind).row(record))

    def all(self, kind: type[R], **where: Any) -> list[R]:
        """The undeleted rows of a kind in natural order (by name, number or time).

        `where` gives fields and the value each must have, or a list of values, one of which
        it must have: `all(Reading, stop_id=stop.id)`.
        """
        return cast("list[R]", self._tables.select(kind_of(kind), where))

    def newest(self, kind: type[R], limit: int, **where: Any) -> list[R]:
        """At most `limit` rows from the end of the natural order, the last one first."""
        return cast("list[R]", self._tables.select(kind_of(kind), where, limit))

    def count(self, kind: type[Row], **where: Any) -> int:
        """How many rows `all` would give."""
        return self._tables.count(kind_of(kind), where)

    def undo(self) -> str | None:
        """Take back the last action that still stands; what it was, or None."""
        with self._connection.change():
            return self._journal.undo(take_time(self._clock()))

    def redo(self) -> str | None:
        """Do again what was undone last; what it was, or None. A new action ends this."""
        with self._connection.change():
            return self._journal.redo(take_time(self._clock()))

    @property
    def can_undo(self) -> bool:
        """Whether there is an action to take back."""
        return self._journal.ends()[1] is not None

    @property
    def can_redo(self) -> bool:
        """Whether there is an undone action to do again."""
        return self._journal.ends()[2] is not None

    @property
    def origin(self) -> str:
        """The identity of this notebook, kept in the file and named in each journal entry."""
        return self._journal.origin

    def history(self, limit: int = 100) -> list[HistoryEntry]:
        """The newest actions of the journal, newest first, undoing and redoing included."""
        return self._journal.history(limit)

    def versions(self, kind: type[R], row_id: str) -> list[R]:
        """Every state a row has had, oldest first, each under the stamp of its change."""
        made = kind_of(kind)
        return [cast(R, made.row(record)) for record in self._journal.versions(made, row_id)]

    # Sheets under way, and settings

    def keep_draft(self, draft: Draft) -> None:
        """Put a half-typed sheet on disk; it replaces what was kept of the same sheet."""
        self._drafts.keep(draft, take_time(self._clock()))

    def drafts(self) -> list[Draft]:
        """The sheets under way, the one typed in last first."""
        return self._drafts.all()

    def drop_draft(self, sheet: str, stop_id: str | None = None, row_id: str | None = None) -> None:
        """Forget a sheet that was thrown away (`save(..., finished=draft)` does so itself)."""
        self._drafts.drop(sheet, stop_id, row_id)

    def setting(self, name: str, default: Any = None) -> Any:
        """A kept setting, or `default`."""
        return self._settings.get(name, default)

    def keep_setting(self, name: str, value: Any) -> None:
        """Keep a setting: anything JSON holds. Raises InvalidValue for anything else."""
        self._settings.keep(name, value)

    # Photos, scenes and the whole

    def add_photo(
        self,
        source: Path | bytes,
        *,
        what: str = "",
        finished: Draft | None = None,
        **fields: Any,
    ) -> Photo:
        """Keep a picture (JPEG or PNG) and save its Photo with the fields given.

        `finished` is the sheet this completes, as with `save`. Raises FormatError where it is
        no whole picture, InvalidValue as `save` does.
        """
        if "survey_id" not in fields:
            raise InvalidValue("A photo needs its survey: give survey_id.", value=fields)
        file = self._photos.keep(source)
        (photo,) = self.save(Photo(file=file, **fields), what=what, finished=finished)
        self._photos.named([file])
        return photo

    def stop_scene(self, stop_id: str, reach_m: float = 600.0) -> StopScene:
        """All that bears on a stop: its entries, the phones they came from, the sites within
        `reach_m` metres or sighted from it with their sectors, and the ground around it.

        Raises NotFound where the stop is not in the notebook.
        """
        (scene,) = self.stop_scenes([stop_id], reach_m)
        return scene

    def stop_scenes(self, stop_ids: Iterable[str], reach_m: float = 600.0) -> Iterator[StopScene]:
        """As `stop_scene`, stop by stop; what the scenes hold alike they share (see Scenes)."""
        scenes = Scenes(self._connection, self._tables, self.ground)
        for stop_id in stop_ids:
            stop = self.get(Stop, stop_id)
            yield scenes.of(self.get(Survey, stop.survey_id), stop, reach_m)

    def stop_places(self, survey_id: str) -> list[tuple[str, float, float]]:
        """(id, lat_deg, lon_deg) of a survey's stops that have a position, in their order."""
        return stop_places(self._connection, survey_id)

    def stop_levels(self, survey_id: str) -> list[tuple[str, float]]:
        """(stop's id, RSRP in dBm) of each of a survey's readings (see store/stop_columns)."""
        return stop_levels(self._connection, survey_id)

    def paired_readings(self) -> list[Reading]:
        """The readings of all stops where two phones or more were read, in time, as far back as
        PAIRED_SURVEYS: what is learned of the phones comes from these."""
        return self.all(Reading, stop_id=list(self.paired_stops()))

    def paired_stops(self) -> dict[str, str]:
        """The stops those are of, by id, each with a stamp that is another one when its readings
        are others."""
        return paired_stops(self._connection)

    def next_stop_number(self, survey_id: str) -> int:
        """The number of the next stop of a survey, counting from 1."""
        last = self.newest(Stop, 1, survey_id=survey_id)
        return last[0].number + 1 if last else 1
