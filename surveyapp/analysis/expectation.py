"""What is expected at a stop, and in a whole survey: each reading and each speed run.

`expectations_at` judges one stop by itself. `survey_expectations` judges many stops together:
readings of one PCI then count as one cell's, and panels that hang otherwise than noted show.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from surveyapp.analysis.leg_links import LegLink, leg_links
from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.reading_expectation import LegExpectation, expect_readings
from surveyapp.analysis.run_expectation import RunExpectation, expect_runs
from surveyapp.analysis.standing import LegAnswer, serving_at
from surveyapp.analysis.tied_cells import tied_answers
from surveyapp.analysis.turned_panels import TurnedPanel, turned_panels
from surveyapp.errors import NoAnswer
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


def expectations_at(
    scene: StopScene,
    offsets: Mapping[str, PhoneOffset] | None = None,
    *,
    answers: Sequence[LegAnswer] | None = None,
    turned: Mapping[str, TurnedPanel] | None = None,
) -> StopExpectations:
    """The expectations of one stop.

    `offsets` are the phones' own (`learn_phone_offsets`), `answers` the serving answers where
    they are at hand already, `turned` what a whole survey tells of its panels. A stop without
    a position has no answers; its runs are judged all the same.
    """
    offsets = offsets or {}
    if answers is None:
        answers = _answers(scene, offsets)
    legs = leg_links(scene, answers, offsets)
    if turned is None:
        turned = turned_panels((scene, leg) for leg in legs.values())
    return _judged(scene, answers, legs, turned)


def survey_expectations(
    scenes: Sequence[StopScene], offsets: Mapping[str, PhoneOffset] | None = None
) -> tuple[StopExpectations, ...]:
    """The expectations of many stops, in their order, each helped by what the others show."""
    offsets = offsets or {}
    answers = tied_answers(scenes, [_answers(scene, offsets) for scene in scenes])
    legs = [leg_links(scene, own, offsets) for scene, own in zip(scenes, answers, strict=True)]
    turned = turned_panels(
        (scene, leg) for scene, own in zip(scenes, legs, strict=True) for leg in own.values()
    )
    return tuple(
        _judged(scene, own, links, turned)
        for scene, own, links in zip(scenes, answers, legs, strict=True)
    )


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


def _answers(scene: StopScene, offsets: Mapping[str, PhoneOffset]) -> tuple[LegAnswer, ...]:
    """The serving answers, none for a stop that has no position."""
    try:
        return serving_at(scene, offsets)
    except NoAnswer:
        return ()
