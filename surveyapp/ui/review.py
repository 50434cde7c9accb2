"""A survey looked through as a whole: serving answers, expectations, doubts. No Kivy here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from surveyapp.model import Stop, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.background import Background

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.analysis.value_doubts import Doubt


@dataclass(frozen=True)
class Review:
    """A survey's stops, what was expected at each, and every doubt, as of one moment."""

    scenes: tuple[StopScene, ...] = ()
    expectations: tuple[StopExpectations, ...] = ()
    doubts: tuple[Doubt, ...] = ()


class Reviewer(Background[Review]):
    """Reviews surveys by their ids, away from the finger."""

    def __init__(self, notebook: Notebook) -> None:
        super().__init__(notebook, reviewed)


def reviewed(path: Path, survey_id: str, leave: Callable[[], bool]) -> Review | None:
    """Look a survey through; None where `leave` asked to stop on the way."""
    from surveyapp.analysis.doubts import survey_doubts
    from surveyapp.analysis.expectation import survey_expectations
    from surveyapp.analysis.phone_offset import learn_phone_offsets

    scenes: list[StopScene] = []
    with Notebook.open(path) as notebook:
        for stop in notebook.all(Stop, survey_id=survey_id):
            if leave():
                return None
            scenes.append(notebook.stop_scene(stop.id))
    expectations = survey_expectations(scenes, learn_phone_offsets(scenes))
    if leave():
        return None
    return Review(tuple(scenes), expectations, survey_doubts(scenes, expectations))
