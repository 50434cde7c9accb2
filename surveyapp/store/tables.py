"""The tables of rows: fetch, select, write, and the references between them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.model import Row
from surveyapp.store.connection import Connection
from surveyapp.store.rows import BY_TABLE, Kind, Record
from surveyapp.store.values import Stored, label_of, time_text


@cache
def _statements(kind: Kind) -> tuple[str, str, str]:
    """SQL to fetch one row by id, to insert it, and to overwrite it."""
    columns = ", ".join(kind.names)
    marks = ", ".join("?" * len(kind.names))
    sets = ", ".join(f"{name} = ?{number}" for number, name in enumerate(kind.names, start=1))
    return (
        f"SELECT {columns} FROM {kind.table} WHERE id = ?",
        f"INSERT INTO {kind.table} ({columns}) VALUES ({marks})",
        f"UPDATE {kind.table} SET {sets} WHERE id = ?1",
    )


@cache
def _nested_statements(kind: Kind) -> tuple[str, str, str]:
    """SQL to fetch the carriers of the rows that a subquery names, to delete and to insert."""
    assert kind.nested is not None
    names = ", ".join(column.name for column in kind.nested.columns)
    owner, table = f"{kind.table}_id", kind.nested.table
    marks = ", ".join("?" * (len(kind.nested.columns) + 2))
    return (
        f"SELECT {owner}, {names} FROM {table} WHERE {owner} IN (%s) ORDER BY {owner}, place",
        f"DELETE FROM {table} WHERE {owner} = ?",
        f"INSERT INTO {table} ({owner}, place, {names}) VALUES ({marks})",
    )


def _condition(kind: Kind, where: Mapping[str, Any]) -> tuple[str, list[Stored]]:
    """SQL and values for undeleted rows whose columns equal `where`."""
    parts, values = ["deleted_utc IS NULL"], list[Stored]()
    for name, wanted in where.items():
        if name not in kind.names:
            raise InvalidValue(
                f"A {kind.word} has no field '{name}'.", value=name, allowed=", ".join(kind.names)
            )
        if isinstance(wanted, list | tuple | set | frozenset):
            parts.append(f"{name} IN (SELECT value FROM json_each(?))")
            values.append(json.dumps([_plain(item) for item in wanted]))
        else:
            parts.append(f"{name} IS ?")
            values.append(_plain(wanted))
    return " AND ".join(parts), values


def _plain(value: Any) -> Stored:
    """A value asked for, as it stands in the table."""
    if isinstance(value, StrEnum):
        return value.value
    return time_text(value) if hasattr(value, "utcoffset") else value


class Tables:
    """The tables of rows behind one connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def fetch(self, kind: Kind, row_id: str) -> Record | None:
        """The record of one row, deleted or not."""
        values = self._connection.one(_statements(kind)[0], (row_id,))
        if values is None:
            return None
        if kind.nested is None:
            return Record(values)
        carriers = self._connection.rows(_nested_statements(kind)[0] % "?", (row_id,))
        return Record(values, tuple(item[1:] for item in carriers))

    def select(self, kind: Kind, where: Mapping[str, Any], newest: int | None = None) -> list[Row]:
        """Undeleted rows in natural order; with `newest` only that many from its end."""
        condition, values = _condition(kind, where)
        order = ", ".join(kind.order)
        if newest is not None:
            order = ", ".join(f"{term} DESC" for term in kind.order) + f" LIMIT {int(newest)}"
        found = self._connection.rows(
            f"SELECT {', '.join(kind.names)} FROM {kind.table} WHERE {condition} ORDER BY {order}",
            values,
        )
        if kind.nested is None:
            return [kind.row(Record(item)) for item in found]
        carriers = self._carriers(kind, [item[0] for item in found])
        return [kind.row(Record(item, tuple(carriers.get(item[0], ())))) for item in found]

    def _carriers(self, kind: Kind, owners: list[str]) -> dict[str, list[tuple[Any, ...]]]:
        sql = _nested_statements(kind)[0] % "SELECT value FROM json_each(?)"
        held: dict[str, list[tuple[Any, ...]]] = {}
        for owner, *values in self._connection.rows(sql, (json.dumps(owners),)):
            held.setdefault(owner, []).append(tuple(values))
        return held

    def count(self, kind: Kind, where: Mapping[str, Any]) -> int:
        """How many undeleted rows there are."""
        condition, values = _condition(kind, where)
        found = self._connection.one(f"SELECT count(*) FROM {kind.table} WHERE {condition}", values)
        return int(found[0]) if found else 0

    def write(self, kind: Kind, before: Record | None, after: Record) -> None:
        """Insert the record, or overwrite `before` with it."""
        run = self._connection.run
        run(_statements(kind)[1 if before is None else 2], after.values)
        if kind.nested is None or (before is not None and before.nested == after.nested):
            return
        row_id = after.values[0]
        if before is not None and before.nested:
            run(_nested_statements(kind)[1], (row_id,))
        if after.nested:
            self._connection.run_many(
                _nested_statements(kind)[2],
                [(row_id, place, *item) for place, item in enumerate(after.nested)],
            )

    def dangling(self, kind: Kind, record: Record, together: set[tuple[str, Stored]]) -> list[str]:
        """What the record refers to and is neither in the notebook nor saved `together`."""
        problems = []
        values = dict(zip(kind.names, record.values, strict=True))
        for reference in kind.references:
            named = values[reference.field]
            if named is None or (reference.target, named) in together:
                continue
            found = self._connection.one(
                f"SELECT deleted_utc FROM {reference.target} WHERE id = ?", (named,)
            )
            said = f"{label_of(reference.field)} {named}"
            if found is None:
                problems.append(f"{said} is not in the notebook")
            elif found[0] is not None:
                problems.append(f"{said} was deleted: undo that first")
        return problems

    def followers(
        self, doomed: Iterable[tuple[Kind, str]]
    ) -> tuple[list[tuple[Kind, str]], list[tuple[Kind, str, str]]]:
        """All rows deleted with `doomed` (those first), and the fields emptied in others.

        The second list holds (kind, row id, field) of undeleted rows that stay.
        """
        queue = list(dict.fromkeys(doomed))
        gone = set(queue)
        loosened: list[tuple[Kind, str, str]] = []
        for kind, row_id in queue:  # grows while it is walked
            for child in BY_TABLE.values():
                for reference in child.references:
                    if reference.target != kind.table:
                        continue
                    for (child_id,) in self._connection.rows(
                        f"SELECT id FROM {child.table} WHERE {reference.field} = ? "
                        "AND deleted_utc IS NULL ORDER BY rowid",
                        (row_id,),
                    ):
                        if not reference.owned:
                            loosened.append((child, child_id, reference.field))
                        elif (child, child_id) not in gone:
                            gone.add((child, child_id))
                            queue.append((child, child_id))
        return queue, [item for item in loosened if item[:2] not in gone]
