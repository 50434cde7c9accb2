"""The first page of an empty notebook: what a stop is, and three ways to begin."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, StringProperty

from surveyapp.ui.background import Background
from surveyapp.ui.notebooks import OVER, is_new, write_demo_day
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.tokens import LOW_DP

DEMO_TOLD = "Invented; in a notebook of its own"
DEMO_OPEN = "The demo day is open now"
MAKING = "It is being made: some seconds"


class FirstRunPage(Page):
    """Teaches in one look; start a stop, look at the demo day, or bring in a file."""

    demo_told = StringProperty(DEMO_TOLD)
    making = BooleanProperty(False)
    again = BooleanProperty(False)
    in_demo = BooleanProperty(False)
    beside = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._maker = Background(self.session.notebook, write_demo_day)
        self._maker.done.bind(Clock.create_trigger(lambda _: self._made(), 0))

    def on_kv_post(self, *_: Any) -> None:
        """Remember the main button, which changes its room."""
        self._start = self.ids.start.__self__
        self.bind(beside=self._arrange)

    def on_size(self, *_: Any) -> None:
        """On a desk and a phone on its side the choices stand beside the words."""
        self.beside = self.wide or self.height < dp(LOW_DP) < self.width

    def _arrange(self, *_: Any) -> None:
        """The main button stands on the other choices, or at the foot, never out of sight."""
        self._start.parent.remove_widget(self._start)
        room, index = (self.ids.choices, len(self.ids.choices.children)) if self.beside else (
            self.ids.foot, 0)  # fmt: skip
        room.add_widget(self._start, index=index)

    def refresh(self) -> None:
        """A notebook that is not empty any more needs no first page, but where it is asked for."""
        self.again, self.in_demo = "again" in self.parameters, self.router.notebooks.in_demo
        if not self.making:
            self.demo_told = DEMO_OPEN if self.in_demo else DEMO_TOLD
        if not self.again and not is_new(self.session.notebook):
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
        """Make the demo day, in the background, and open it; out of it, go back."""
        if self.in_demo:
            self.session.attempt(self.router.notebooks.open_own)
        elif not self.making:
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
