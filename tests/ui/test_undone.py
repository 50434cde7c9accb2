"""Undo says what it took back and where, and shows it; without a window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.model import Mode, Reading, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.entries import form_named
from surveyapp.ui.session import Session
from tests.ui import filled


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    """A session on a full notebook."""
    path = filled.write(tmp_path / "own.notebook")
    with Notebook.open(path, clock=lambda: filled.NOW) as notebook:
        made = Session(notebook, lambda: filled.NOW)
        made.heard = []
        made.said.bind(lambda sentence, _undo: made.heard.append(sentence))
        yield made


def test_undo_in_another_survey_names_it_and_goes_there(session: Session) -> None:
    """One undo too many on the first visit's Day said 'Undone: stop 13.' and showed nothing: it
    was the second visit's. Now the survey is named, and stands on the screen."""
    first = session.survey
    second = Survey(title="Second visit", time_zone="Europe/Helsinki")
    stop = Stop(survey_id=second.id, number=13, time_utc=filled.NOW)
    session.save(second)
    session.save(stop, what="stop 13")
    session.save(replace(stop, place_text="kept"), what="change of stop 13")
    session.go_to_survey(first.id)

    session.undo()
    assert session.heard[-1] == "Undone: change of stop 13. Second visit"
    assert session.survey.id == second.id
    assert session.stop.number == 13
    session.go_to_survey(first.id)
    session.undo()

    assert session.heard[-1] == "Undone: stop 13. Second visit"
    assert session.survey.id == second.id
    session.redo()
    assert session.heard[-1] == "Done again: stop 13."


def test_an_undone_reading_says_whose_and_where(session: Session) -> None:
    """'Undone: change of reading' did not say which; the stop one stands at stays."""
    here = session.stop
    reading = session.notebook.all(Reading)[0]
    session.save(replace(reading, mode=Mode.LTE), what="change of reading")

    session.undo()

    assert session.heard[-1].startswith("Undone: change of reading. Phone ")
    assert session.heard[-1].endswith(" · Stop 1")
    assert session.stop.id == here.id


def test_the_sheet_of_a_reading_names_the_stop_it_hangs_on(session: Session) -> None:
    """'Reading, change · Stop 18' stood over a reading of stop 1, because one stood at 18."""
    first = session.notebook.get(Stop, session.notebook.all(Reading)[0].stop_id)
    reading = session.notebook.all(Reading, stop_id=first.id)[0]
    assert session.stop.number != first.number

    said = form_named("reading").subtitle(session, reading)

    assert said == f"Stop {first.number}"
    assert form_named("reading").subtitle(session) == f"Stop {session.stop.number}"


def test_undo_takes_back_what_was_kept_as_noted(session: Session) -> None:
    """Accepting doubts is no row and had no undo; the newest step goes first, of either kind."""
    session.save(Survey(title="Before"), what="survey")
    session.acceptances.keep(["one"], "2 doubts kept as noted")

    session.undo()
    assert session.heard[-1] == "Undone: 2 doubts kept as noted."
    assert session.notebook.setting("accepted_doubts") == []
    session.undo()

    assert session.heard[-1].startswith("Undone: survey.")
