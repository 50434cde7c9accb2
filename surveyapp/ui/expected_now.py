"""Verdicts on the current stop's entries, and on one still being typed. No Kivy here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from surveyapp.errors import SurveyError
from surveyapp.model import Device, Reading, Row, SpeedRun, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.expectation_words import Verdict
from surveyapp.ui.serving_now import ServingNow


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

    def typed(self, scene: StopScene, rows: Iterable[Row]) -> Verdict:
        """The verdict on a reading or run as typed so far, with its phone where it is new.

        Takes some milliseconds: not for the way of a keystroke.
        """
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
        from surveyapp.analysis.doubts import doubts_at  # numpy: not before it is needed
        from surveyapp.analysis.expectation import expectations_at
        from surveyapp.ui.verdicts import verdicts

        try:
            offsets = self._serving.offsets(scene)
            answers = None if answered is None else self._serving.answers(answered)[0]
            found = expectations_at(scene, offsets, answers=answers)
            doubts = doubts_at(scene, found.answers, offsets)
            return verdicts(found, doubts, self._accepted_now())
        except SurveyError:
            return {}  # the serving answer on the page says why

    def _accepted_now(self) -> list[str]:
        """The doubts that the surveyor has looked at and accepted."""
        from surveyapp.ui.day_doubts import ACCEPTED

        return self._notebook.setting(ACCEPTED, [])
