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
    from surveyapp.analysis.expectation import StopExpectations, SurveyView
    from surveyapp.analysis.value_doubts import Doubt


MOST_UNASKED = 400  # stops of a survey looked through unasked: more keep a phone busy for minutes


@dataclass(frozen=True)
class Review:
    """A survey's stops judged together, and every doubt, as of one moment."""

    view: SurveyView | None = None
    doubts: tuple[Doubt, ...] = ()

    @property
    def scenes(self) -> tuple[StopScene, ...]:
        """The stops with all that bears on them."""
        return () if self.view is None else self.view.scenes

    @property
    def expectations(self) -> tuple[StopExpectations, ...]:
        """What was expected at each."""
        return () if self.view is None else self.view.expectations


class Reviewer(Background[Review]):
    """Reviews surveys by their ids, away from the finger."""

    def __init__(self, notebook: Notebook) -> None:
        super().__init__(notebook, reviewed)


def reviewed(path: Path, survey_id: str, leave: Callable[[], bool]) -> Review | None:
    """Look a survey through; None where `leave` asked to stop on the way."""
    from surveyapp.analysis.doubts import survey_doubts
    from surveyapp.analysis.expectation import survey_view
    from surveyapp.analysis.phone_offset import offsets_from_readings

    scenes: list[StopScene] = []
    with Notebook.open(path) as notebook:
        stops = notebook.all(Stop, survey_id=survey_id)
        for scene in notebook.stop_scenes(stop.id for stop in stops):
            if leave():
                return None
            scenes.append(scene)
        offsets = offsets_from_readings(notebook.paired_readings())
    view = survey_view(scenes, offsets)
    return None if leave() else Review(view, survey_doubts(view))
