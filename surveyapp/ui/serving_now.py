"""The serving answers of a stop, worked out once for each state of the notebook. No Kivy here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from surveyapp.errors import SurveyError
from surveyapp.model import Reading, StopScene
from surveyapp.store.notebook import Notebook
from surveyapp.ui.review import Reviewer

if TYPE_CHECKING:
    from surveyapp.analysis.expectation import SurveyView
    from surveyapp.analysis.phone_offset import OffsetLearner, PhoneOffset
    from surveyapp.analysis.standing import LegAnswer

Answers = tuple[tuple["LegAnswer", ...], str]


class ServingNow:
    """Answers for one scene at a time; the phones' offsets are learned when readings changed.

    What the other stops of the survey say of a PCI joins in as soon as the survey was looked
    through once: the answers are then those of the report.
    """

    def __init__(self, notebook: Notebook, reviewer: Reviewer) -> None:
        self._notebook = notebook
        self._reviewer = reviewer
        self._scene: StopScene | None = None
        self._alone: Answers = ((), "")
        self._offsets: Mapping[str, PhoneOffset] | None = None
        self._learner: OffsetLearner | None = None

    def readings_changed(self) -> None:
        """Readings were added, changed or taken away: learn the offsets again when needed."""
        self._offsets = None

    def answers(self, scene: StopScene) -> Answers:
        """The answers for the scene, or none of them and the reason why."""
        answers, reason = self.alone(scene)
        view = self.among(scene)
        return (answers if view is None else view.joined(scene, answers)), reason

    def alone(self, scene: StopScene) -> Answers:
        """The same from the stop's own entries."""
        if scene is not self._scene:
            self._scene, self._alone = scene, self._work_out(scene)
        return self._alone

    def among(self, scene: StopScene) -> SurveyView | None:
        """The stops of the scene's survey as they were looked through last, if ever."""
        review = self._reviewer.of(scene.survey.id)
        return None if review is None else review.view

    def offsets(self, scene: StopScene) -> Mapping[str, PhoneOffset]:
        """What each phone shows too much; learned again when readings changed."""
        from surveyapp.analysis.phone_offset import OffsetLearner

        if self._offsets is None:
            notebook = self._notebook
            self._learner = self._learner or OffsetLearner()
            self._offsets = self._learner.learn(
                notebook.paired_stops(), lambda stops: notebook.all(Reading, stop_id=stops)
            )
        return self._offsets

    def _work_out(self, scene: StopScene) -> Answers:
        from surveyapp.analysis.standing import serving_at  # numpy: not before it is needed

        try:
            return serving_at(scene, self.offsets(scene)), ""
        except SurveyError as error:
            return (), str(error)
