"""The first page of an empty notebook: what a stop is, and three ways to begin."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import BooleanProperty, StringProperty

from surveyapp.ui.background import Background
from surveyapp.ui.notebooks import OVER, is_new, write_demo_day
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.tokens import LOW_DP

DEMO_TOLD = "An invented survey in a notebook of its own"
MAKING = "It is being made: some seconds"


class FirstRunPage(Page):
    """Teaches in one look; start a stop, look at the demo day, or bring in a file."""

    demo_told = StringProperty(DEMO_TOLD)
    making = BooleanProperty(False)
    low = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._maker = Background(self.session.notebook, write_demo_day)
        self._maker.done.bind(Clock.create_trigger(lambda _: self._made(), 0))

    def on_size(self, *_: Any) -> None:
        """A phone on its side has no room for choices below the words."""
        from kivy.metrics import dp

        self.low = self.height < dp(LOW_DP)

    def refresh(self) -> None:
        """A notebook that is not empty any more needs no first page."""
        if not is_new(self.session.notebook):
            self.router.back()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._maker.rest()
        super().rest()

    def start_stop(self) -> None:
        """The first stop, here and now."""
        if self.session.attempt(self.session.start_stop):
            self._over()
            self.router.go("stop")

    def bring_in(self) -> None:
        """A file of a survey, a track, leads."""
        self._over()
        self.router.go("book")
        self.router.push("section", section="exchange")

    def look_at_demo(self) -> None:
        """Make the demo day, in the background, and open it."""
        if not self.making:
            self.making, self.demo_told = True, MAKING
            self._maker.ask("demo day")

    def later(self) -> None:
        """On to the empty notebook."""
        self._over()
        self.router.back()

    def _made(self) -> None:
        if not self.making:
            return
        self.making, self.demo_told = False, DEMO_TOLD
        if self._maker.problem:
            self.session.say(self._maker.problem)
        else:
            notebooks, own = self.router.notebooks, self.session.notebook
            self.session.attempt(lambda: notebooks.open_demo(own))

    def _over(self) -> None:
        self.session.attempt(lambda: self.session.notebook.keep_setting(OVER, True))


load_kv(__file__)
