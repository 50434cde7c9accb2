"""A phone's clock that is set back in mid-survey: nothing typed later counts as older."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

from surveyapp.model import Draft, Stop, Survey
from surveyapp.store import Notebook
from tests.store.conftest import TickingClock


def test_a_change_made_after_the_clock_was_set_back_still_arrives(
    notebook: Notebook, clock: TickingClock, survey: Survey, stop: Stop, tmp_path: Path
) -> None:
    """An edit made after the clock went back two hours was once refused elsewhere as older than
    what it changed, and so lost."""
    with Notebook.create(tmp_path / "desk", TickingClock()) as desk:
        desk.bring_in(notebook.rows_of())
        clock.now -= timedelta(hours=2)
        (edited,) = notebook.save(replace(stop, place_text="Mole 3"))
        arrival = desk.bring_in(notebook.rows_of())

        assert (arrival.changed, arrival.older) == (1, 0)
        assert desk.get(Stop, stop.id).place_text == "Mole 3"
    assert stop.changed_utc is not None
    assert edited.changed_utc is not None
    assert edited.changed_utc > stop.changed_utc


def test_undo_and_deletion_after_the_clock_was_set_back_are_newer_too(
    notebook: Notebook, clock: TickingClock, stop: Stop
) -> None:
    """Each state of a row bears a later stamp than the one before it, whatever the clock says."""
    notebook.save(replace(stop, place_text="Mole 3"))
    clock.now -= timedelta(hours=2)
    notebook.undo()
    notebook.delete(stop)
    stamps = [row.changed_utc for row in notebook.versions(Stop, stop.id)]

    assert len(stamps) == 4
    assert all(one and other and one < other for one, other in pairwise(stamps))


def test_the_sheet_typed_in_last_comes_first_after_the_clock_was_set_back(
    notebook: Notebook, clock: TickingClock
) -> None:
    """The sheet under the surveyor's fingers was once shown behind an older one."""
    notebook.keep_draft(Draft(sheet="remark", fields={}, focus=""))
    clock.now -= timedelta(hours=2)
    notebook.keep_draft(Draft(sheet="reading", fields={}, focus=""))

    assert [draft.sheet for draft in notebook.drafts()] == ["reading", "remark"]


def test_stops_keep_their_order_when_the_clock_was_set_back(
    notebook: Notebook, clock: TickingClock, survey: Survey
) -> None:
    """Stops go by their numbers, which count on whatever the clock says."""
    for _ in range(3):
        number = notebook.next_stop_number(survey.id)
        notebook.save(Stop(survey_id=survey.id, number=number, time_utc=clock()))
        clock.now -= timedelta(hours=2)

    assert [stop.number for stop in notebook.all(Stop)] == [1, 2, 3]
