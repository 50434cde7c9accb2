"""Verdicts on the current stop's entries, and on one still being typed. No Kivy here."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from surveyapp.errors import SurveyError
from surveyapp.model import Device, Reading, Row, SpeedRun, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.serving_now import ServingNow

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations, SurveyView
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.ui.expectation_words import Verdict

ACCEPTED = "accepted_doubts"  # the setting that remembers those looked at


class ExpectedNow:
    """Verdicts for one scene at a time, worked out once for each state of the notebook."""

    def __init__(self, notebook: Notebook, serving: ServingNow) -> None:
        self._notebook = notebook
        self._serving = serving
        self._scene: StopScene | None = None
        self._known: tuple[list[str], SurveyView | None] = ([], None)
        self._verdicts: dict[str, Verdict] = {}

    def at(self, scene: StopScene) -> dict[str, Verdict]:
        """The verdict on each reading and run of a stop, by the row's id.

        Helped by what the whole survey tells once it was looked through: panels that hang
        otherwise than noted show over many stops only.
        """
        known = (self._accepted_now(), self._serving.among(scene))
        if scene is not self._scene or known[0] != self._known[0] or known[1] is not self._known[1]:
            self._scene, self._known = scene, known
            self._verdicts = self._judged(scene, lambda: self._serving.answers(scene)[0])
        return self._verdicts

    def typed(self, scene: StopScene, rows: Iterable[Row]) -> Verdict:
        """The verdict on a reading or run as typed so far, with its phone where it is new.

        Takes some milliseconds: not for the way of a keystroke.
        """
        from surveyapp.ui.expectation_words import Verdict

        rows = list(rows)
        new = tuple(row for row in rows if isinstance(row, Device))
        with_phone = replace(scene, devices=(*scene.devices, *new))
        row = rows[-1]
        if isinstance(row, Reading):
            others = tuple(one for one in scene.readings if one.id != row.id)
            beside = replace(with_phone, readings=(*others, row), speed_runs=())
            found = self._judged(beside, lambda: self._answers_beside(scene, beside, row))
            return found.get(row.id, Verdict())
        if isinstance(row, SpeedRun):
            runs = tuple(run for run in scene.speed_runs if run.id != row.id)
            beside = replace(with_phone, speed_runs=(*runs, row))
            found = self._judged(beside, lambda: self._serving.answers(scene)[0])
            return found.get(row.id, Verdict())
        return Verdict()

    def _answers_beside(
        self, scene: StopScene, beside: StopScene, row: Reading
    ) -> tuple[LegAnswer, ...]:
        """The answers with a reading that is only typed: the scene's others stay as they are."""
        from surveyapp.analysis.tied_cells import answers_alone

        typed = replace(beside, readings=(row,))
        kept = [
            one for one in self._serving.alone(scene)[0] if one.reading_id not in {None, row.id}
        ]
        answers = (*kept, *answers_alone(typed, self._serving.offsets(scene)))
        view = self._serving.among(scene)
        return answers if view is None else view.joined(beside, answers)

    def _judged(
        self, scene: StopScene, answers: Callable[[], tuple[LegAnswer, ...]]
    ) -> dict[str, Verdict]:
        """All verdicts of a scene."""
        if not scene.readings and not scene.speed_runs:
            return {}
        from surveyapp.analysis.expectation import expectations_at  # numpy: when it is needed

        try:
            found = expectations_at(
                scene,
                self._serving.offsets(scene),
                answers=answers(),
                among=self._serving.among(scene),
            )
            return self._told(scene, found)
        except SurveyError:
            return {}  # the serving answer on the page says why

    def _told(self, scene: StopScene, found: StopExpectations) -> dict[str, Verdict]:
        """Expectations of a scene as verdicts, with the doubts about its entries."""
        from surveyapp.analysis.doubts import doubts_at
        from surveyapp.ui.verdicts import verdicts

        return verdicts(found, doubts_at(scene, found.answers), self._accepted_now())

    def _accepted_now(self) -> list[str]:
        """The doubts that the surveyor has looked at and accepted."""
        return self._notebook.setting(ACCEPTED, [])
