"""Keeps the app's frame clear of the phone's own bars, also when the phone is turned."""

from __future__ import annotations

from kivy.clock import Clock
from kivy.core.window import Window

from surveyapp.sensors.screen_edges import ScreenEdges
from surveyapp.ui.shell import Shell

LATER_S = (0.0, 0.3, 1.0)  # the system tells its bars some time after the window is there


class KeptClear:
    """Asks `edges` when the window changes, and moves the frame in."""

    def __init__(self, shell: Shell, edges: ScreenEdges) -> None:
        self._shell, self._edges = shell, edges
        self._asks = [Clock.create_trigger(self.fit, after_s) for after_s in LATER_S]
        Window.bind(size=self.ask)
        self.ask()

    def ask(self, *_: object) -> None:
        """Ask now, and again when the system has settled."""
        for ask in self._asks:
            ask()

    def fit(self, *_: object) -> None:
        """Take over what is covered now."""
        covered = self._edges.now()
        self._shell.safe_left, self._shell.safe_top = covered.left_px, covered.top_px
        self._shell.safe_right, self._shell.safe_bottom = covered.right_px, covered.bottom_px

    def rest(self) -> None:
        """The frame goes."""
        Window.unbind(size=self.ask)
        for ask in self._asks:
            ask.cancel()
