"""What a notebook gives to others and takes from them: rows, pictures, whole journals."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from surveyapp.errors import InvalidValue, NotebookError, NotFound
from surveyapp.model import Photo, Row, new_id
from surveyapp.store.arriving import Arrival, Refused, changes_of_arrival, refusals_of
from surveyapp.store.connection import Connection
from surveyapp.store.copies import refuse_merging, refuse_mixing
from surveyapp.store.drafts import Settings
from surveyapp.store.journal import Change, Journal
from surveyapp.store.merge import Conflict, Merged, Merger
from surveyapp.store.photos import PhotoFolder, is_picture_name
from surveyapp.store.rows import BY_TABLE, title_of
from surveyapp.store.selection import rows_of
from surveyapp.store.tables import Tables
from surveyapp.store.values import label_of, take_time

_SALT = "salt_of_copies"


class Exchange:
    """The part of a notebook that deals with other notebooks and files."""

    _connection: Connection
    _tables: Tables
    _journal: Journal
    _photos: PhotoFolder
    _settings: Settings
    _clock: Callable[[], datetime]

    def rows_of(self, survey_ids: Iterable[str] | None = None) -> list[Row]:
        """All that makes up some surveys, or the whole notebook: see selection.rows_of."""
        return rows_of(self._tables, survey_ids)

    def pictures_of(self, rows: Iterable[Row], *, all_of_them: bool = True) -> dict[str, Path]:
        """Where the pictures lie that the photos among `rows` name, by their names.

        One that is missing, or named so that it would lie elsewhere, raises NotebookError; it
        is passed over without `all_of_them`.
        """
        names = [row.file for row in rows if isinstance(row, Photo)]
        held = [name for name in names if is_picture_name(name) and self._photos.has(name)]
        if all_of_them and len(held) < len(names):
            lost = next(name for name in names if name not in held)
            raise NotebookError(
                f"The picture {lost[:80]} is missing from {self._photos.folder}: run the check, "
                "and bring it back from a backup.",
                path=str(self._photos.folder),
            )
        return {name: self._photos.folder / name for name in held}

    def salt_of_copies(self) -> str:
        """A secret of this notebook, made once: with it a phone gets the same new id in each copy
        that hides the phones, and nobody else can tell which phone it was."""
        kept = self._settings.get(_SALT, "")
        if not kept:
            kept = new_id()
            self._settings.keep(_SALT, kept)
        return str(kept)

    def refuse_mixing(self, rows: Iterable[Row]) -> None:
        """Raise InvalidValue where `bring_in` would refuse all of these: see copies.py."""
        refuse_mixing(self._connection, rows)

    def refusals(self, rows: Sequence[Row], pictures: Iterable[Path] = ()) -> tuple[Refused, ...]:
        """The rows that `bring_in` would refuse one by one, with nothing changed; the pictures
        that would come are named as the photos name them."""
        coming = {path.name for path in pictures}
        return refusals_of(
            self._tables, rows, lambda name: name in coming or self._photos.has(name)
        )

    def bring_in(
        self,
        rows: Sequence[Row],
        pictures: Iterable[Path | bytes] = (),
        *,
        what: str = "",
        all_or_nothing: bool = True,
    ) -> Arrival:
        """Take in rows from elsewhere with their own stamps, as one action: see arriving.py.

        Pictures are kept first. Where a row is refused the others come in, or with
        `all_or_nothing` none does and InvalidValue tells all problems. InvalidValue also where
        a survey is here with other things hidden than in what arrives.
        """
        self.refuse_mixing(rows)
        fresh = [self._photos.keep(picture) for picture in pictures]
        now = take_time(self._clock())
        with self._connection.change():
            changes, arrival = changes_of_arrival(
                self._tables, rows, now, self._photos.has, all_or_nothing
            )
            for change in changes:
                self._tables.write(*change)
            if changes:
                self._journal.append(what or f"brought in {len(changes)} entries", now, changes)
        self._photos.settle(self._connection, fresh)
        return arrival

    def merge_from(self, other: Exchange) -> Merged:
        """Join another notebook's journal and pictures to this one: see merge.py.

        The other is only read. Raises InvalidValue where the two went on apart under one name,
        or hold one survey with different things hidden.
        """
        refuse_merging(self._connection, other._connection)
        names = other._photos.names_in(other._connection)
        fresh = [name for name in names if not self._photos.has(name) and other._photos.has(name)]
        for name in fresh:
            self._photos.keep(other._photos.folder / name)
        merger = Merger(self._connection, self._tables, self._journal)
        with self._connection.large_cache(), self._connection.change():
            actions, added, changed = merger.take_over(other._connection)
            conflicts = merger.conflicts()
        self._photos.named(fresh)
        return Merged(
            actions=actions,
            added=added,
            changed=changed,
            pictures=len(fresh),
            conflicts=conflicts,
        )

    def conflicts(self) -> tuple[Conflict, ...]:
        """Fields that two notebooks gave different values without knowledge of each other."""
        return Merger(self._connection, self._tables, self._journal).conflicts()

    def settle(self, conflict: Conflict, value: Any) -> None:
        """Choose one of a conflict's values, as an action that undo takes back.

        Raises InvalidValue for another value, NotFound where the row was deleted meanwhile.
        """
        if value not in conflict.values:
            raise InvalidValue("Choose one of the values in conflict.", value=value)
        kind = BY_TABLE[conflict.kind]
        now = take_time(self._clock())
        with self._connection.change():
            record = self._tables.fetch(kind, conflict.row_id)
            if record is None or record.values[3] is not None:
                raise NotFound(f"The {kind.word} {conflict.row_id} was deleted meanwhile.")
            rest = next(one for one in conflict.values if one != value)
            held = json.loads(kind.json(record)) | {"changed_utc": now}
            before, after = (
                kind.from_json(json.dumps(held | {conflict.field: one})) for one in (rest, value)
            )
            self._tables.write(kind, record, after)
            what = f"chose the {label_of(conflict.field)} of {title_of(kind.row(after))}"
            self._journal.append(what, now, [Change(kind, before, after)])
