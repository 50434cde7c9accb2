"""Every stop of the demo with what is expected there, for tests and benchmarks.

Each visit is judged by itself, with the phones' offsets of the whole notebook: as the screens,
the `expect` command and the report do.
"""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.analysis.expectation import StopExpectations, SurveyView, survey_view
from surveyapp.analysis.phone_offset import offsets_from_readings
from surveyapp.demo.truth import Truth
from surveyapp.demo.write import Demo
from surveyapp.model import Reading, Stop, StopScene, Survey
from surveyapp.store.notebook import Notebook


@dataclass(frozen=True)
class Day:
    """Scenes and expectations of all stops, in walking order, and the truth behind them."""

    truth: Truth
    visits: tuple[SurveyView, ...]

    @property
    def scenes(self) -> tuple[StopScene, ...]:
        """All stops."""
        return tuple(scene for view in self.visits for scene in view.scenes)

    @property
    def expectations(self) -> tuple[StopExpectations, ...]:
        """What is expected at each."""
        return tuple(one for view in self.visits for one in view.expectations)


def day_of(demo: Demo) -> Day:
    """Read the demo's notebook and work out what is expected at each stop."""
    with Notebook.open(demo.notebook_path) as notebook:
        visits = [
            [notebook.stop_scene(stop.id) for stop in notebook.all(Stop, survey_id=survey.id)]
            for survey in notebook.all(Survey)
        ]
        offsets = offsets_from_readings(notebook.all(Reading))
    visits.sort(key=lambda scenes: scenes[0].stop.time_utc)
    return Day(demo.truth, tuple(survey_view(scenes, offsets) for scenes in visits))
