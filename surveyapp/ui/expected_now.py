"""Verdicts on the current stop's entries, and on one still being typed. No Kivy here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from surveyapp.errors import SurveyError
from surveyapp.model import Device, Reading, Row, SpeedRun, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.review import Reviewer
from surveyapp.ui.serving_now import ServingNow

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.ui.expectation_words import Verdict

ACCEPTED = "accepted_doubts"  # the setting that remembers those looked at


class ExpectedNow:
    """Verdicts for one scene at a time, worked out once for each state of the notebook."""

    def __init__(self, notebook: Notebook, serving: ServingNow) -> None:
        self._notebook = notebook
        self._serving = serving
        self._scene: StopScene | None = None
        self._accepted: list[str] = []
        self._verdicts: dict[str, Verdict] = {}

    def at(self, scene: StopScene) -> dict[str, Verdict]:
        """The verdict on each reading and run of a stop, by the row's id."""
        accepted = self._accepted_now()
        if scene is not self._scene or accepted != self._accepted:
            self._scene, self._accepted = scene, accepted
            self._verdicts = self._judged(scene, answered=scene)
        return self._verdicts

    def reviewed(self, scene: StopScene, reviewer: Reviewer) -> dict[str, Verdict]:
        """The same, helped by what the whole survey tells where it has just been looked through.

        Panels that hang otherwise than noted show over many stops only.
        """
        told = self.at(scene)
        review = reviewer.of(scene.survey.id)
        if review is not None and reviewer.is_fresh(scene.survey.id):
            stops = (one for one in review.expectations if one.stop_id == scene.stop.id)
            found = next(stops, None)
            if found is not None:
                told = self._verdicts = self._told(scene, found)
        return told

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
            alone = replace(with_phone, readings=(row,), speed_runs=())
            return self._judged(alone).get(row.id, Verdict())
        if isinstance(row, SpeedRun):
            others = tuple(run for run in scene.speed_runs if run.id != row.id)
            beside = replace(with_phone, speed_runs=(*others, row))
            return self._judged(beside, answered=scene).get(row.id, Verdict())
        return Verdict()

    def _judged(self, scene: StopScene, answered: StopScene | None = None) -> dict[str, Verdict]:
        """All verdicts of a scene; `answered` is one whose serving answers hold for it too."""
        if not scene.readings and not scene.speed_runs:
            return {}
        from surveyapp.analysis.expectation import expectations_at  # numpy: when it is needed

        try:
            offsets = self._serving.offsets(scene)
            answers = None if answered is None else self._serving.answers(answered)[0]
            return self._told(scene, expectations_at(scene, offsets, answers=answers))
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
