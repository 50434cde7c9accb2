"""How time passes for an app under test: frame by frame, put forward where it would wait.

Import it by way of `tests.ui.harness`, which sets the offscreen driver first.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from itertools import count
from time import monotonic, perf_counter, sleep

from kivy.base import EventLoop
from kivy.clock import Clock

FRAME_S = 1 / 60

# An app is some 300,000 objects. Left alone, the collector goes through all of them several
# times a test, which took half of the time; so it makes its full round after every few apps.
APPS_A_ROUND = 6
gc.set_threshold(50_000, 10, 1_000)
_closed = count(1)


class _Ahead:
    """The app's clock: it runs as time does, and can be put forward."""

    def __init__(self) -> None:
        self._by_s = 0.0

    def __call__(self) -> float:
        """Seconds, from no particular moment."""
        return perf_counter() + self._by_s

    def put_forward(self, by_s: float) -> None:
        """Let so much time have passed."""
        self._by_s += by_s


Clock.time = _time = _Ahead()


def frames(count: int = 2) -> None:
    """Let the app draw some frames."""
    for _ in range(count):
        EventLoop.idle()


def wait(seconds: float) -> None:
    """Let the app run for a time, as its own clock counts it: nobody waits that long."""
    end = Clock.get_time() + seconds
    while Clock.get_time() < end:
        _time.put_forward(FRAME_S)
        EventLoop.idle()


def until(fulfilled: Callable[[], object], longest_s: float = 30.0) -> None:
    """Let the app run until this is so, however slow the machine."""
    end = monotonic() + longest_s
    while not fulfilled():
        assert monotonic() < end, "It did not come about."
        sleep(0.002)  # leaves the processor to what reckons
        wait(FRAME_S)
    frames(2)


def collect() -> None:
    """An app was closed: after every few of them, what they left is cleared away."""
    if next(_closed) % APPS_A_ROUND == 0:
        gc.collect()
