"""Kivy's clock, as the sensors' helpers ask for it."""

from __future__ import annotations

from collections.abc import Callable

from kivy.clock import Clock


class KivyTicks:
    """Calls back on the screen's own thread."""

    def every(self, interval_s: float, call: Callable[[], None]) -> Callable[[], None]:
        """Call again and again; what is returned ends it."""
        event = Clock.schedule_interval(lambda _: call(), interval_s)
        return event.cancel

    def soon(self, call: Callable[[], None]) -> None:
        """Call in the next frame, from whatever thread this is asked on."""
        Clock.schedule_once(lambda _: call(), 0)
