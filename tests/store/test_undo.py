"""Deleting, undo and redo over the journal."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import (
    CompassCheck,
    Device,
    Photo,
    Reading,
    Remark,
    Row,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store import Notebook
from surveyapp.store.rows import KINDS
from tests.store.conftest import NOON, TickingClock
from tests.store.one_of_each import ROWS


def contents(notebook: Notebook) -> set[Row]:
    """All undeleted rows, without the stamp of their last change."""
    rows: set[Row] = set()
    for kind in KINDS:
        rows.update(replace(row, changed_utc=None) for row in notebook.all(kind))
    return rows


def test_undo_and_redo_survive_a_restart(notebook: Notebook, clock: TickingClock) -> None:
    """A program started anew takes back, and does again, what the one before did."""
    site = notebook.save(Site(name="Quay 4"))[0]
    notebook.save(replace(site, name="Quay 5"), what="new name")
    notebook.close()
    with Notebook.open(notebook.path, clock) as second:
        undone, name_then = second.undo(), second.get(Site, site.id).name
    with Notebook.open(notebook.path, clock) as third:
        redone, name_now = third.redo(), third.get(Site, site.id).name

    assert (undone, name_then) == ("new name", "Quay 4")
    assert (redone, name_now) == ("new name", "Quay 5")


def test_a_new_action_ends_what_could_be_redone(notebook: Notebook, site: Site) -> None:
    """After undoing and then doing something else, the undone action is history only."""
    notebook.save(replace(site, name="Quay 5"))
    notebook.undo()
    could = notebook.can_redo
    notebook.save(replace(site, name="Quay 6"))

    assert could
    assert not notebook.can_redo
    assert notebook.redo() is None
    assert notebook.get(Site, site.id).name == "Quay 6"


def test_an_empty_notebook_has_nothing_to_undo(notebook: Notebook) -> None:
    """Undo and redo answer None, and add nothing to the journal."""
    assert notebook.undo() is None
    assert notebook.redo() is None
    assert not notebook.can_undo
    assert notebook.history() == []


def test_the_journal_is_only_added_to(notebook: Notebook, site: Site) -> None:
    """Undo and redo are actions too, with their time, origin and rows."""
    notebook.save(replace(site, name="Quay 5"), what="new name")
    notebook.undo()
    notebook.redo()
    history = notebook.history()

    assert [(entry.what, entry.doing) for entry in history] == [
        ("new name", "redone"),
        ("new name", "undone"),
        ("new name", "done"),
        ("added site Quay 4", "done"),
    ]
    assert history[0].rows == (("site", site.id),)
    assert {entry.origin for entry in history} == {notebook.origin}
    assert len({entry.action_id for entry in history}) == 4


def test_two_notebooks_have_two_origins(notebook: Notebook, tmp_path: Path) -> None:
    """The journal can tell whose action it was once two notebooks are merged."""
    with Notebook.create(tmp_path / "other.survey") as other:
        assert other.origin != notebook.origin


def test_what_belongs_to_a_deleted_stop_goes_and_comes_back(notebook: Notebook) -> None:
    """Entries follow their stop; undo brings all of them; devices and sites stay."""
    notebook.save(*ROWS)
    before = contents(notebook)
    notebook.delete(notebook.get(Stop, "stop-1"))
    left = {kind: notebook.count(kind) for kind in KINDS}
    said = notebook.undo()

    assert said == "deleted stop 3 with 7 entries of it"
    kept = {Survey, Site, Sector, Device, CompassCheck}

    assert {kind for kind, count in left.items() if count} == kept
    assert contents(notebook) == before


def test_a_field_that_names_a_deleted_row_is_emptied(notebook: Notebook) -> None:
    """Deleting a sector or a reading leaves the sighting and the run, and undo mends both."""
    notebook.save(*ROWS)
    before = contents(notebook)
    notebook.delete(notebook.get(Sector, "sector-1"), notebook.get(Reading, "reading-1"))

    assert notebook.get(Sighting, "sighting-1").sector_id is None
    assert notebook.get(SpeedRun, "run-1").reading_id is None

    notebook.undo()

    assert contents(notebook) == before


def test_deleting_a_survey_takes_its_photos_along(notebook: Notebook) -> None:
    """Photos belong to a survey, remarks to its stops; the notebook's sites are for all."""
    notebook.save(*ROWS)
    notebook.delete(notebook.get(Survey, "survey-1"))

    assert notebook.count(Photo) == notebook.count(Remark) == 0
    assert notebook.count(Site) == notebook.count(Device) == 1


def test_a_deleted_row_is_gone_for_readers_and_kept_in_the_file(
    notebook: Notebook, site: Site
) -> None:
    """Deletion is soft; deleting twice is one action; saving the row brings it back."""
    notebook.delete(site)
    notebook.delete(site)
    with pytest.raises(NotFound, match="was deleted"):
        notebook.get(Site, site.id)
    raw = sqlite3.connect(notebook.path)
    kept = raw.execute("SELECT count(*) FROM site WHERE deleted_utc IS NOT NULL").fetchone()
    raw.close()

    assert kept == (1,)
    assert len(notebook.history()) == 2
    assert notebook.save(site)[0].name == site.name
    assert notebook.all(Site) == notebook.all(Site, id=site.id) != []


def test_an_entry_cannot_join_a_deleted_stop(
    notebook: Notebook, stop: Stop, device: Device
) -> None:
    """It would be invisible: the surveyor is told to bring the stop back."""
    notebook.delete(stop)
    with pytest.raises(InvalidValue, match="was deleted"):
        notebook.save(Remark(stop_id=stop.id, time_utc=stop.time_utc))


def test_undo_leaves_what_another_program_changed_since(notebook: Notebook, site: Site) -> None:
    """Undo puts back the fields of its own action, not the whole row."""
    notebook.save(replace(site, name="Quay 5"))
    raw = sqlite3.connect(notebook.path)
    raw.execute("UPDATE site SET height_m = 7.5")
    raw.commit()
    raw.close()
    notebook.undo()

    assert notebook.get(Site, site.id).name == "Quay 4"
    assert notebook.get(Site, site.id).height_m == 7.5


STEPS = st.lists(
    st.tuples(st.sampled_from(["save", "delete", "undo", "redo"]), st.integers(0, 2)), max_size=25
)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(STEPS)
def test_undo_and_redo_keep_two_stacks(notebook: Notebook, steps: list[tuple[str, int]]) -> None:
    """Any run of actions, undone and redone, is that of two plain stacks of snapshots."""
    notebook.save(*(Site(id=str(number), name=f"start of {steps}") for number in range(3)))
    past: list[set[Row]] = []
    future: list[set[Row]] = []
    for count, (step, number) in enumerate(steps):
        before = contents(notebook)
        if step == "undo":
            if past:
                assert notebook.undo() is not None
                future.append(before)
                assert contents(notebook) == past.pop()
        elif step == "redo":
            assert (notebook.redo() is not None) == bool(future)
            if future:
                past.append(before)
                assert contents(notebook) == future.pop()
        else:
            if step == "save":
                notebook.save(Site(id=str(number), name=f"{count} in {steps}"))
            else:
                notebook.delete(Site(id=str(number), name=""))
            if contents(notebook) != before:
                past.append(before)
                future.clear()
        assert notebook.can_redo == bool(future)


def test_rows_moved_and_the_stop_they_left_deleted_are_one_action(
    notebook: Notebook,
) -> None:
    """What was moved away stays, the stop goes, and one undo brings both back."""
    survey = Survey(title="A walk")
    here, there = (Stop(survey_id=survey.id, number=number, time_utc=NOON) for number in (1, 2))
    remark = Remark(stop_id=there.id, time_utc=NOON, text="A tram passed")
    notebook.save(survey, here, there, remark)
    notebook.save(replace(remark, stop_id=here.id), gone=[there], what="joining")

    assert [one.stop_id for one in notebook.all(Remark)] == [here.id]
    assert [one.id for one in notebook.all(Stop)] == [here.id]
    assert notebook.undo() == "joining"
    assert [one.stop_id for one in notebook.all(Remark)] == [there.id]
    assert len(notebook.all(Stop)) == 2
