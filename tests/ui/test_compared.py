"""Comparisons as the screen shows them, without a window."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path

import pytest

from surveyapp.analysis.runs import Quantity
from surveyapp.model import SpeedRun, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.compared import PHONES, VISITS, compared, phone_pairs, server_pairs, view_of
from surveyapp.ui.compared_hours import HOURS, hour_pairs, hours_compared, runs_by_hour
from surveyapp.ui.review import Review, reviewed
from tests.ui import filled


@pytest.fixture
def review(tmp_path: Path) -> Review:
    """Three stops where Phone B is half as fast as Phone A, each beginning in turn."""
    path = filled.write(tmp_path / "a.notebook")
    with Notebook.open(path) as notebook:
        phones = [choice.id for choice in _devices(notebook)]
        for at, run in enumerate(notebook.all(SpeedRun)):
            slow = run.device_id == phones[1]
            moved = replace(
                run,
                down_mbps=(run.down_mbps or 0.0) / (2.0 if slow else 1.0),
                time_utc=run.time_utc + timedelta(seconds=at),
            )
            notebook.save(moved)
        survey_id = notebook.all(Survey)[0].id
    found = reviewed(path, survey_id, lambda: False)
    assert found is not None
    return found


def _devices(notebook: Notebook) -> list:
    from surveyapp.model import Device

    return sorted(notebook.all(Device), key=lambda device: device.label)


def test_the_mean_comes_first_then_each_stop_on_one_scale(review: Review) -> None:
    """Twice as fast at all three stops: every row says 2.00 and lies within the scale."""
    (pair,) = phone_pairs(review.scenes)
    title = review.scenes[0].survey.title
    view = view_of(compared(review, PHONES, pair.value, Quantity.DOWN), title)

    assert pair.label == "Phone A and Phone B"
    assert [row.mean for row in view.rows] == [True, False, False, False]
    assert view.rows[0].text.startswith("Mean ratio 2.00, 95 % interval 2.00 to 2.00")
    assert view.rows[1].text == "Stop 1: 1434 and 717 Mbit/s, ratio 2.00"
    assert all(math.log(view.reach) >= abs(math.log(row.high)) for row in view.rows)
    assert any("enough" in note or "Further pairs" in note for note in view.notes)


def test_one_server_offers_no_pair_and_an_empty_visit_says_nothing(review: Review) -> None:
    """Nothing is claimed where nothing can be compared."""
    assert server_pairs(review.scenes) == []
    view = view_of(compared(review, VISITS, "x", Quantity.DOWN, Review()))

    assert view.rows == ()
    assert "nothing is said" in view.sentence


def test_two_parts_of_the_day_are_compared_over_all_surveys(tmp_path: Path) -> None:
    """The same walk again eight hours later, half as fast: each place says 2.00, on any day."""
    path = filled.write(tmp_path / "b.notebook")
    with Notebook.open(path) as notebook:
        again = Survey(title="In the evening")
        rows: list = [again]
        for stop in notebook.all(Stop):
            late = replace(stop, id=f"{stop.id} again", survey_id=again.id,
                           time_utc=stop.time_utc + timedelta(hours=8))  # fmt: skip
            rows.append(late)
            rows += [
                replace(run, id=f"{run.id} again", stop_id=late.id, reading_id=None,
                        together_with=None, time_utc=run.time_utc + timedelta(hours=8),
                        down_mbps=(run.down_mbps or 0.0) / 2.0)
                for run in notebook.all(SpeedRun, stop_id=stop.id)
            ]  # fmt: skip
        notebook.save(*rows)

    looked = runs_by_hour(path, HOURS, lambda: False)
    assert looked is not None
    (pair,) = hour_pairs(looked.scenes, UTC)
    view = view_of(hours_compared(looked, pair.value, UTC, Quantity.DOWN))

    assert pair.label == "05–10 · 14–18"
    assert view.rows[0].text.startswith("Mean ratio 2.00")
    assert view.rows[1].text.startswith("Stop 1")
    assert not any("ran first" in note for note in view.notes)
    assert runs_by_hour(path, HOURS, lambda: True) is None
