"""Every stop of the demo with what is expected there, for tests and benchmarks."""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.analysis.expectation import StopExpectations, survey_expectations
from surveyapp.analysis.standing import learn_phone_offsets
from surveyapp.demo.truth import Truth
from surveyapp.demo.write import Demo
from surveyapp.model import Stop, StopScene, Survey
from surveyapp.store.notebook import Notebook


@dataclass(frozen=True)
class Day:
    """Scenes and expectations of all stops, in walking order, and the truth behind them."""

    truth: Truth
    scenes: tuple[StopScene, ...]
    expectations: tuple[StopExpectations, ...]


def day_of(demo: Demo) -> Day:
    """Read the demo's notebook and work out what is expected at each stop."""
    with Notebook.open(demo.notebook_path) as notebook:
        surveys = notebook.all(Survey)
        stops = [stop for survey in surveys for stop in notebook.all(Stop, survey_id=survey.id)]
        stops.sort(key=lambda stop: stop.time_utc)
        scenes = tuple(notebook.stop_scene(stop.id) for stop in stops)
    offsets = learn_phone_offsets(scenes)
    return Day(demo.truth, scenes, survey_expectations(scenes, offsets))
