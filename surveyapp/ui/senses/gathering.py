"""Listening to one sensor for a moment, and handing over what it said."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors.port import Sensor

Cancel = Callable[[], None]
EVERY_S = 0.1


class Ticks(Protocol):
    """Who calls back later, on the screen's own thread."""

    def every(self, interval_s: float, call: Callable[[], None]) -> Cancel:
        """Call again and again; what is returned ends it."""

    def soon(self, call: Callable[[], None]) -> None:
        """Call once, from whatever thread this is asked on."""


class Gathering:
    """Listens until `enough` samples came or `longest_s` went by, then calls `done(samples)`.

    A sensor that fails ends it with `failed(sentence)`.
    """

    def __init__(
        self,
        sensor: Sensor[Any],
        ticks: Ticks,
        done: Callable[[list[Any]], None],
        failed: Callable[[str], None],
        enough: int = 20,
        longest_s: float = 4.0,
    ) -> None:
        self._sensor, self._done, self._failed = sensor, done, failed
        self._enough, self._left = enough, round(longest_s / EVERY_S)
        self._samples: list[Any] = []
        self._cancel: Cancel | None = None
        try:
            sensor.start()
        except SensorUnavailable as error:
            failed(str(error))
            return
        self._cancel = ticks.every(EVERY_S, self._listen)

    def end(self) -> None:
        """Listen no more; nothing is handed over."""
        if self._cancel is not None:
            self._cancel()
            self._cancel = None
            self._sensor.stop()

    def _listen(self) -> None:
        try:
            self._samples += self._sensor.take()
        except SensorUnavailable as error:
            self.end()
            self._failed(str(error))
            return
        self._left -= 1
        if len(self._samples) >= self._enough or self._left <= 0:
            self.end()
            self._done(self._samples)
