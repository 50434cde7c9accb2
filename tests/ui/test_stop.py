"""The Stop place: a whole stop by real touches, and the answer that appears."""

from __future__ import annotations

from surveyapp.model import Photo, Reading, Remark, Sighting, SpeedRun, Stop, Survey
from tests.ui import field_day, harness
from tests.ui.harness import Pilot


def test_a_whole_stop_is_entered_by_touch(pilot: Pilot) -> None:
    """Every entry typed with a finger is in the notebook and on the page."""
    field_day.whole_stop(pilot)
    notebook = pilot.session.notebook
    counts = [notebook.count(kind) for kind in (Survey, Stop, Sighting, Reading, SpeedRun, Photo)]

    assert counts == [1, 1, 1, 2, 4, 1]
    assert notebook.count(Remark) == 1
    for words in field_day.SHOWN_AFTER:
        assert pilot.says(words), f"{words} is not on the page: {pilot.texts()}"


def test_the_serving_answer_appears(pilot: Pilot) -> None:
    """With a position and a site near by, the page names sectors with their percentages."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    harness.wait(0.2)

    assert pilot.says("What serves here")
    assert pilot.says("South")
    assert any(text.endswith(" %") for text in pilot.texts())
    assert pilot.says("What would settle it")
