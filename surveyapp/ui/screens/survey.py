"""The page of a survey: what it was, and the way to go on with it."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty

from surveyapp.errors import NotFound
from surveyapp.model import Survey
from surveyapp.ui.day_doubts import count_words, gathered, open_count
from surveyapp.ui.day_list import day_of, scenes_of
from surveyapp.ui.expected_now import ACCEPTED
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.words import joined


class SurveyPage(Page):
    """The survey named by the parameter `survey_id`."""

    title = StringProperty("")
    facts = StringProperty("")
    is_open = BooleanProperty(False)

    def refresh(self) -> None:
        """Read the survey; where it was deleted there is nothing to stay for."""
        notebook = self.session.notebook
        try:
            survey = notebook.get(Survey, self.parameters["survey_id"])
        except NotFound:
            self.router.back()
            return
        lines = (
            joined([day_of(notebook, survey).summary, self._doubted(survey)]),
            joined([survey.place_text, str(survey.weather or ""), survey.time_zone]),
            survey.purpose,
            survey.text,
            f"A copy: hidden in it are {survey.hidden}." if survey.hidden else "",
        )
        self.title, self.facts = survey.title, "\n".join(line for line in lines if line)
        self.is_open = self.session.survey is not None and self.session.survey.id == survey.id

    def _doubted(self, survey: Survey) -> str:
        """How many doubts there are, where the survey was looked through since it changed."""
        reviewer, notebook = self.session.reviewer, self.session.notebook
        if not reviewer.is_fresh(survey.id):
            return ""
        doubts = gathered(scenes_of(notebook, survey), reviewer.of(survey.id))
        return count_words(open_count(doubts, notebook.setting(ACCEPTED, [])), False)

    def change(self) -> None:
        """The sheet of the survey."""
        self.router.open_entry("survey", self.parameters["survey_id"])

    def report(self) -> None:
        """Make its report."""
        self.router.push("section", section="report", survey_id=self.parameters["survey_id"])

    def open(self) -> None:
        """Go on with this survey."""
        self.session.go_to_survey(self.parameters["survey_id"])
        self.router.go("day")


load_kv(__file__)
