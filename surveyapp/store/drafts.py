"""Half-typed sheets and settings: small writes, durable at once, with no journal."""

from __future__ import annotations

import json
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.model import Draft
from surveyapp.store.connection import Connection
from surveyapp.store.values import Stored, stamp_after

_KEEP = "INSERT OR REPLACE INTO draft VALUES (?, ?, ?, ?, ?, ?)"
_DROP = "DELETE FROM draft WHERE sheet = ? AND stop_id = ? AND row_id = ?"
_ALL = "SELECT sheet, stop_id, row_id, fields, focus FROM draft ORDER BY changed_utc DESC"


class Drafts:
    """The sheets under way, one for each sheet, stop and row under edit."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def keep(self, draft: Draft, when: Stored) -> None:
        """Put the sheet on disk as it stands; it replaces what was kept of the same sheet."""
        fields = json.dumps(draft.fields, ensure_ascii=True)
        key = (draft.sheet, draft.stop_id or "", draft.row_id or "")
        newest = self._connection.one("SELECT max(changed_utc) FROM draft")
        stamp = stamp_after(when, newest[0] if newest else None)
        self._connection.run(_KEEP, (*key, fields, draft.focus, stamp))

    def all(self) -> list[Draft]:
        """The sheets under way, the one typed in last first."""
        return [
            Draft(
                sheet=sheet,
                stop_id=stop_id or None,
                row_id=row_id or None,
                fields=json.loads(fields),
                focus=focus,
            )
            for sheet, stop_id, row_id, fields, focus in self._connection.rows(_ALL)
        ]

    def drop(self, sheet: str, stop_id: str | None, row_id: str | None) -> None:
        """Forget a sheet: it was saved, or thrown away."""
        self._connection.run(_DROP, (sheet, stop_id or "", row_id or ""))


class Settings:
    """Named values of the app kept in the notebook: anything JSON can hold."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def get(self, name: str, default: Any) -> Any:
        """The kept value, or `default`."""
        found = self._connection.one("SELECT value FROM setting WHERE name = ?", (name,))
        return default if found is None else json.loads(found[0])

    def keep(self, name: str, value: Any) -> None:
        """Put the value on disk, unless it is there; InvalidValue where JSON cannot hold it."""
        try:
            text = json.dumps(value, allow_nan=False)
        except (TypeError, ValueError):
            raise InvalidValue(
                f"The setting '{name}' cannot be kept: {value!r} is no plain value.",
                value=value,
                allowed="text, numbers, true, false, none, and lists and mappings of these",
            ) from None
        found = self._connection.one("SELECT value FROM setting WHERE name = ?", (name,))
        if found != (text,):
            self._connection.run("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, text))
