"""The survey drawn beside its list, on a desk: a tap on a stop brings its entries into sight."""

from __future__ import annotations

from typing import Any

from kivy.metrics import dp
from kivy.properties import StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.plan import plan_view  # noqa: F401
from surveyapp.ui.plan.content import (
    content_of,
    ground_box_m,
    ground_key,
    shown_rows,
    with_levels,
)
from surveyapp.ui.plan.hits import hits
from surveyapp.ui.plan.laying_out import lay_out
from surveyapp.ui.plan.marks import Place, StopMark
from surveyapp.ui.session import Session
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import text  # noqa: F401

REACH_DP = 24.0  # half a finger's target


class DayPlan(BoxLayout):
    """Draws what the session holds; dispatches `on_stop(stop_id)` when a stop is tapped."""

    attribution = StringProperty("")
    __events__ = ("on_stop",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._plane: Any = None
        self._ground_key: Any = None

    def show(self, session: Session, hidden: list[str], stop_id: str) -> None:
        """Lay out what the notebook has now; the view moves only for another place on Earth."""
        content = content_of(session, self._plane)
        moved, self._plane = content.plane != self._plane, content.plane
        view = self.ids.view
        self._show_ground(session)
        view.wake()
        view.current_stop_id = stop_id
        rows = with_levels(session, content.rows)
        view.marks = lay_out(shown_rows(rows, hidden), self._plane)
        if moved:
            view.fit()

    def _show_ground(self, session: Session) -> None:
        key = ground_key(session, self._plane)
        if key == self._ground_key:
            return
        self._ground_key, ground = key, session.notebook.ground
        box_m = ground_box_m(session, self._plane)
        drawn = box_m is not None
        self.ids.view.show_ground(ground.within if drawn else None, self._plane, box_m)
        self.attribution = ground.attribution if drawn else ""

    def tapped(self, east_m: float, north_m: float) -> None:
        """Tell which stop lies under the finger."""
        view = self.ids.view
        behind = view.drawing.words.clusters
        reach_m = dp(REACH_DP) / view.px_per_m
        for mark in hits(view.marks, Place(east_m, north_m), reach_m, behind=behind):
            if isinstance(mark, StopMark):
                self.dispatch("on_stop", mark.row_id)
                return

    def on_stop(self, stop_id: str) -> None:
        """Event: the stop of this id was tapped."""


load_kv(__file__)
