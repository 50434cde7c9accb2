"""Half-typed sheets and settings."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue
from surveyapp.model import Draft
from surveyapp.store import Notebook

ANY = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
CHARACTERS = st.characters(exclude_categories=())  # also halves of pairs, as a paste may hold


def test_a_sheet_is_kept_as_it_was_at_the_last_keystroke(notebook: Notebook) -> None:
    """Each keystroke replaces the one before; another session sees the last."""
    for typed in ("-", "-8", "-86"):
        notebook.keep_draft(Draft(sheet="reading", fields={"rsrp": typed}, focus="rsrp"))
    with Notebook.open(notebook.path) as other:
        assert other.drafts() == [Draft(sheet="reading", fields={"rsrp": "-86"}, focus="rsrp")]


def test_several_sheets_wait_side_by_side(notebook: Notebook) -> None:
    """One for each sheet, stop and row under edit, the last typed in first."""
    sheets = [
        Draft(sheet="reading", stop_id="a"),
        Draft(sheet="reading", stop_id="b"),
        Draft(sheet="reading", stop_id="b", row_id="r"),
        Draft(sheet="site"),
    ]
    for sheet in sheets:
        notebook.keep_draft(sheet)
    notebook.drop_draft("reading", "b")

    assert notebook.drafts() == [sheets[3], sheets[2], sheets[0]]


def test_a_draft_is_no_action(notebook: Notebook) -> None:
    """Typing fills no journal and is not undone."""
    notebook.keep_draft(Draft(sheet="site", fields={"name": "Q"}))

    assert notebook.undo() is None
    assert notebook.history() == []


@ANY
@given(st.dictionaries(st.text(CHARACTERS), st.text(CHARACTERS), max_size=4))
def test_whatever_was_typed_comes_back(notebook: Notebook, fields: dict[str, str]) -> None:
    """Any characters at all, also those no row could hold: a draft never refuses."""
    notebook.keep_draft(Draft(sheet="any", fields=fields))

    assert notebook.drafts() == [Draft(sheet="any", fields=fields)]


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@ANY
@given(PLAIN)
def test_a_setting_is_any_plain_value(notebook: Notebook, value: object) -> None:
    """What JSON holds comes back equal."""
    notebook.keep_setting("theme", value)

    assert notebook.setting("theme", "default") == value


def test_a_setting_never_kept_has_its_default(notebook: Notebook) -> None:
    """The caller's default, or none."""
    assert notebook.setting("theme", "day") == "day"
    assert notebook.setting("theme") is None


@pytest.mark.parametrize("value", [math.nan, object(), {1, 2}])
def test_a_setting_that_json_cannot_hold_is_refused(notebook: Notebook, value: object) -> None:
    """The old value stays."""
    notebook.keep_setting("size", 100)
    with pytest.raises(InvalidValue, match="size"):
        notebook.keep_setting("size", value)

    assert notebook.setting("size") == 100


def test_a_setting_that_stays_the_same_is_not_written(notebook: Notebook) -> None:
    """Each start once wrote the route it had just read, and waited for the disk."""
    log = notebook.path.with_name(f"{notebook.path.name}-wal")
    notebook.keep_setting("route", ["stop"])
    before = log.stat().st_size
    notebook.keep_setting("route", ["stop"])
    same = log.stat().st_size
    notebook.keep_setting("route", ["plan"])

    assert same == before
    assert log.stat().st_size > before
