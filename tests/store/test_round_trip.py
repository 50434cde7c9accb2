"""What is saved is what is read: every kind of row, with generated values."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta, timezone
from enum import StrEnum
from pathlib import Path
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveyapp.model import Row
from surveyapp.store import Notebook
from surveyapp.store.rows import KINDS
from tests.store.one_of_each import ROWS

OF_KIND: dict[type[Row], Row] = {type(row): row for row in ROWS}
STAMPS = {"id", "created_utc", "changed_utc", "deleted_utc"}
GENERATED = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def values_for(name: str, held: Any) -> st.SearchStrategy[Any]:
    """Every value a field of this name and type may hold."""
    choices = get_args(held)
    if get_origin(held) is tuple:
        return st.lists(nested(choices[0]), max_size=3).map(tuple)
    if NoneType in choices:
        return st.none() | values_for(name, choices[0])
    if issubclass(held, StrEnum):
        return st.sampled_from(held)
    if name.endswith("lat_deg"):
        return st.floats(-90, 90)
    if name.endswith("lon_deg"):
        return st.floats(-180, 180)
    zone = st.sampled_from([UTC, timezone(timedelta(hours=-9, minutes=-30))])
    return {
        str: st.text(),
        int: st.integers(-(2**63) + 1, 2**63 - 1),
        float: st.floats(allow_nan=False, allow_infinity=False),
        datetime: st.datetimes(datetime(2, 1, 1), datetime(9998, 1, 1), timezones=zone),
    }[held]


def nested(made: type[Any]) -> st.SearchStrategy[Any]:
    """Carriers with generated fields."""
    hints = get_type_hints(made)
    return st.fixed_dictionaries(
        {item.name: values_for(item.name, hints[item.name]) for item in fields(made)}
    ).map(lambda held: made(**held))


@st.composite
def changed(draw: st.DrawFn, row: Row) -> Row:
    """The row with all fields generated but its identity and its references."""
    hints = get_type_hints(type(row))
    held: dict[str, Any] = {
        item.name: draw(values_for(item.name, hints[item.name]))
        for item in fields(row)
        if item.name not in STAMPS | {"file", "together_with"} and item.name[-3:] != "_id"
    }
    for lat, lon in (("lat_deg", "lon_deg"), ("server_lat_deg", "server_lon_deg")):
        if lat in held and (held[lat] is None) != (held[lon] is None):
            held[lat] = held[lon] = None
    return replace(row, **held)


def unstamped(row: Row) -> Row:
    """The row without what the store adds."""
    return replace(row, created_utc=None, changed_utc=None, deleted_utc=None)


@pytest.fixture
def filled(notebook: Notebook) -> Iterator[Notebook]:
    """A notebook with one row of every kind."""
    notebook.save(*ROWS)
    return notebook


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_row_of_every_kind_comes_back_equal(kind: type[Row], filled: Notebook) -> None:
    """Fields, choices, times and carriers come back as they were saved, in another session."""

    @GENERATED
    @given(changed(OF_KIND[kind]))
    def round_trip(row: Row) -> None:
        filled.save(row)
        with Notebook.open(filled.path) as other:
            found = other.get(kind, row.id)

        assert unstamped(found) == row
        assert unstamped(filled.all(kind, id=row.id)[0]) == row

    round_trip()


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_undo_brings_a_row_of_every_kind_back(kind: type[Row], filled: Notebook) -> None:
    """The journal's JSON holds the whole row, carriers included, of whatever was typed."""

    @GENERATED
    @given(changed(OF_KIND[kind]))
    def undo_and_redo(row: Row) -> None:
        before = filled.get(kind, row.id)
        if not filled.save(row) or filled.get(kind, row.id) == before:
            return  # the generated row is the one that was there
        filled.undo()

        assert unstamped(filled.get(kind, row.id)) == unstamped(before)

        filled.redo()

        assert unstamped(filled.get(kind, row.id)) == row

    undo_and_redo()


def test_the_tables_have_the_columns_of_the_model(notebook: Notebook) -> None:
    """A field added to the model without a step of the schema fails here."""
    raw = sqlite3.connect(notebook.path)
    for made, kind in KINDS.items():
        columns = {row[1] for row in raw.execute(f"PRAGMA table_info({kind.table})")}
        held = {item.name for item in fields(made)}
        if kind.nested is not None:
            carriers = {row[1] for row in raw.execute(f"PRAGMA table_info({kind.nested.table})")}
            held -= {kind.nested.field}

            assert carriers - {"place", f"{kind.table}_id"} == {
                item.name for item in fields(kind.nested.made)
            }
        assert columns == held
    raw.close()


def test_every_table_of_rows_is_strict_and_refers_to_rows(notebook: Notebook) -> None:
    """SQLite itself refuses text in a number and a reference that leads nowhere."""
    raw = sqlite3.connect(notebook.path)
    strict = {name for _, name, kind, _, _, is_strict in raw.execute("PRAGMA table_list")
              if is_strict and kind == "table"}  # fmt: skip
    named = {
        (kind.table, reference.target) for kind in KINDS.values() for reference in kind.references
    }
    keys = {
        (kind.table, row[2])
        for kind in KINDS.values()
        for row in raw.execute(f"PRAGMA foreign_key_list({kind.table})")
    }
    raw.close()

    assert strict >= {kind.table for kind in KINDS.values()} | {"journal", "draft", "setting"}
    assert keys == named


def test_times_are_kept_as_sortable_utc_text(tmp_path: Path, filled: Notebook) -> None:
    """Another program reads ISO 8601 in UTC, whatever zone was handed in."""
    raw = sqlite3.connect(filled.path)
    (text,) = raw.execute("SELECT time_utc FROM stop").fetchone()
    (after,) = raw.execute("SELECT after FROM journal WHERE row_id = 'reading-1'").fetchone()
    raw.close()

    assert text == "2026-05-04T12:00:00.250000Z"
    assert json.loads(after)["carriers"][1]["band"] == "b20"
