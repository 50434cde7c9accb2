"""What is expected at a stop, and in a whole survey: each reading and each speed run.

`survey_view` judges the stops of a survey together: readings of one PCI then count as one
cell's, and panels that hang otherwise than noted show. `expectations_at` judges one stop, by
itself or among the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from surveyapp.analysis.leg_links import LegLink, leg_links
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.reading_expectation import LegExpectation, expect_readings
from surveyapp.analysis.run_expectation import RunExpectation, expect_runs
from surveyapp.analysis.standing import LegAnswer
from surveyapp.analysis.tied_cells import answers_alone, tied_answers
from surveyapp.analysis.turned_panels import TurnedPanel, turned_panels
from surveyapp.model import StopScene


@dataclass(frozen=True, kw_only=True, slots=True)
class StopExpectations:
    """Everything expected at one stop: a leg of a reading, and a run, each by its row's id."""

    stop_id: str
    answers: tuple[LegAnswer, ...]
    legs: tuple[LegExpectation, ...]
    runs: tuple[RunExpectation, ...]

    def of_reading(self, reading_id: str) -> tuple[LegExpectation, ...]:
        """The legs of one reading."""
        return tuple(leg for leg in self.legs if leg.reading_id == reading_id)

    def of_run(self, run_id: str) -> RunExpectation | None:
        """One speed run."""
        return next((run for run in self.runs if run.run_id == run_id), None)


@dataclass(frozen=True, kw_only=True, slots=True)
class SurveyView:
    """The stops of a survey judged together, and what a stop is judged by anew.

    `alone` are each stop's serving answers from its own entries, `turned` what all stops tell
    of the panels. One stop changed since can be told among the others at once.
    """

    scenes: tuple[StopScene, ...]
    alone: tuple[tuple[LegAnswer, ...], ...]
    turned: Mapping[str, TurnedPanel]
    expectations: tuple[StopExpectations, ...]

    def joined(self, scene: StopScene, alone: Sequence[LegAnswer]) -> tuple[LegAnswer, ...]:
        """A stop's answers with what the other stops of the survey say of its PCIs."""
        by_stop = {
            known.stop.id: (known, answers)
            for known, answers in zip(self.scenes, self.alone, strict=True)
        }
        by_stop[scene.stop.id] = scene, tuple(alone)
        scenes, answers = zip(*by_stop.values(), strict=True)
        return tied_answers(scenes, answers)[list(by_stop).index(scene.stop.id)]


def expectations_at(
    scene: StopScene,
    offsets: Mapping[str, PhoneOffset] | None = None,
    *,
    answers: Sequence[LegAnswer] | None = None,
    among: SurveyView | None = None,
) -> StopExpectations:
    """The expectations of one stop, `among` the others of its survey where they are known.

    `offsets` are the phones' own (`learn_phone_offsets`), `answers` the serving answers where
    they are at hand already, joined with the others' if need be. A stop without a position has
    no answers; its runs are judged all the same.
    """
    offsets = offsets or {}
    if answers is None:
        alone = answers_alone(scene, offsets)
        answers = alone if among is None else among.joined(scene, alone)
    legs = leg_links(scene, answers, offsets)
    if among is None:
        return _judged(scene, answers, legs, turned_panels((scene, leg) for leg in legs.values()))
    return _judged(scene, answers, legs, among.turned)


def survey_view(
    scenes: Sequence[StopScene], offsets: Mapping[str, PhoneOffset] | None = None
) -> SurveyView:
    """The stops of one survey judged together, in their order."""
    offsets = offsets or {}
    alone = tuple(answers_alone(scene, offsets) for scene in scenes)
    answers = tied_answers(scenes, alone)
    legs = [leg_links(scene, own, offsets) for scene, own in zip(scenes, answers, strict=True)]
    turned = turned_panels(
        (scene, leg) for scene, own in zip(scenes, legs, strict=True) for leg in own.values()
    )
    expectations = tuple(
        _judged(scene, own, links, turned)
        for scene, own, links in zip(scenes, answers, legs, strict=True)
    )
    return SurveyView(scenes=tuple(scenes), alone=alone, turned=turned, expectations=expectations)


def _judged(
    scene: StopScene,
    answers: Sequence[LegAnswer],
    legs: Mapping[tuple[str, str], LegLink],
    turned: Mapping[str, TurnedPanel],
) -> StopExpectations:
    """All expectations of a stop, from what its legs are."""
    return StopExpectations(
        stop_id=scene.stop.id,
        answers=tuple(answers),
        legs=expect_readings(scene, answers, legs, turned),
        runs=expect_runs(scene, answers),
    )
