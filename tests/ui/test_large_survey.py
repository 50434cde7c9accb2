"""A survey of very many stops: what is looked through unasked must not fill the memory."""

from __future__ import annotations

from pathlib import Path

import pytest

from surveyapp.ui import review
from tests.ui import filled, harness


@pytest.mark.parametrize(("most", "looked"), [(2, False), (3, True)])
def test_a_survey_of_too_many_stops_is_looked_through_only_when_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int, looked: bool
) -> None:
    """The app once held the streets about each of 50,000 stops, 19 GB, just for the first page;
    three stops are looked through where three may be, and left alone where only two may."""
    monkeypatch.setattr(review, "MOST_UNASKED", most)
    asked: list[str] = []
    monkeypatch.setattr(review.Reviewer, "ask", lambda _, survey_id: asked.append(survey_id))
    pilot = harness.start(filled.write(tmp_path / "many.notebook"), clock=lambda: filled.NOW)
    harness.wait(2.5)
    survey_id = pilot.session.survey.id
    harness.stop(pilot)

    assert set(asked) == ({survey_id} if looked else set())
