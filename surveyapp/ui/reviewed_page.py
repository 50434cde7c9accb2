"""A page that shows what only a look through the whole survey tells."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock

from surveyapp.ui.review import Review
from surveyapp.ui.screens.page import Page

ASK_AFTER_S = 0.3  # what was saved is drawn first, the look through the survey begins after


class ReviewedPage(Page):
    """Asks for the review of the current survey a moment after each change."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._ask_soon = Clock.create_trigger(lambda _: self._ask(), ASK_AFTER_S)

    def on_pre_enter(self, *_: Any) -> None:
        """Follow the reviewer too."""
        super().on_pre_enter()
        self.session.reviewer.done.bind(self._soon)

    def on_leave(self, *_: Any) -> None:
        """Follow it no longer."""
        super().on_leave()
        self._let_go()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self.session.reviewer.rest()
        self._let_go()
        super().rest()

    def review(self) -> Review | None:
        """The last review of the current survey; a newer one is on its way where it is old."""
        survey = self.session.survey
        if survey is None:
            return None
        self._ask_soon()
        return self.session.reviewer.of(survey.id)

    def looking(self) -> bool:
        """Whether the current survey is still being looked through."""
        survey, reviewer = self.session.survey, self.session.reviewer
        return survey is not None and not reviewer.is_fresh(survey.id) and not reviewer.problem

    def _ask(self) -> None:
        if self.session.survey is not None:
            self.session.reviewer.ask(self.session.survey.id)

    def _let_go(self) -> None:
        self.session.reviewer.done.unbind(self._soon)
        self._ask_soon.cancel()
