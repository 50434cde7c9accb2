"""What every place and page is made from."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, DictProperty, ObjectProperty
from kivy.uix.screenmanager import Screen

from surveyapp.errors import NotFound
from surveyapp.ui.router import Router
from surveyapp.ui.session import Session
from surveyapp.ui.theme import load_kv
from surveyapp.ui.tokens import WIDE_DP
from surveyapp.ui.widgets import bars, buttons, rows  # noqa: F401


class Page(Screen):
    """A screen with its session, its router and the parameters it was opened with.

    `refresh()` is called in the frame after it is shown and after anything changed while it
    is shown; it should read the session and set properties. `wide` tells the desk layout.
    """

    session: Session = ObjectProperty()
    router: Router = ObjectProperty()
    parameters = DictProperty()
    wide = BooleanProperty(False)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._soon = Clock.create_trigger(lambda _: self.show(), 0)
        self.bind(parameters=lambda *_: self._soon())

    def on_pre_enter(self, *_: Any) -> None:
        """Start to follow the session."""
        self.session.changed.bind(self._soon)
        self._soon()

    def on_leave(self, *_: Any) -> None:
        """Follow it no longer: a page that was left asks the notebook nothing."""
        self.session.changed.unbind(self._soon)
        self._soon.cancel()

    def rest(self) -> None:
        """The notebook is about to be closed: ask it nothing any more."""
        self.session.changed.unbind(self._soon)
        self._soon.cancel()

    def on_width(self, *_: Any) -> None:
        """Two columns from the width of a desk on."""
        self.wide = self.width >= dp(WIDE_DP)

    def show(self) -> None:
        """Refresh; a page of something that has gone from the notebook goes too."""
        try:
            self.refresh()
        except NotFound as error:
            self.session.say(str(error))
            self.router.back()

    def refresh(self) -> None:
        """Show what the session says now."""
        # A page of fixed text has nothing to follow.


load_kv(__file__)
