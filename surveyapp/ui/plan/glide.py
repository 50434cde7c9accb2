"""A push of the finger that runs on after it has left the drawing, and dies away."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from math import exp, hypot

LOOK_BACK_S = 0.10  # the finger's speed is taken over so long
DIES_S = 0.28  # after so long the speed is down to a third
LEAST_DP_S = 120.0  # a slower finger meant to stop where it stopped
REST_DP_S = 15.0


@dataclass(slots=True)
class Glide:
    """Follows a finger (`follow`), lets go (`release`), then tells each step (`step`)."""

    px_per_dp: float = 1.0
    _trail: deque[tuple[float, float, float]] = field(default_factory=lambda: deque(maxlen=32))
    _speed: tuple[float, float] = (0.0, 0.0)

    @property
    def moving(self) -> bool:
        """Whether the drawing still runs."""
        return hypot(*self._speed) > REST_DP_S * self.px_per_dp

    def follow(self, x_px: float, y_px: float, at_s: float) -> None:
        """The finger is there now."""
        self._trail.append((x_px, y_px, at_s))

    def stop(self) -> None:
        """Stand still and forget the way of the finger."""
        self._trail.clear()
        self._speed = (0.0, 0.0)

    def release(self, at_s: float) -> None:
        """The finger has left: run on as fast as it went last."""
        recent = [point for point in self._trail if at_s - point[2] <= LOOK_BACK_S]
        self.stop()
        if len(recent) < 2 or recent[-1][2] <= recent[0][2]:
            return
        (x0, y0, t0), (x1, y1, t1) = recent[0], recent[-1]
        speed = ((x1 - x0) / (t1 - t0), (y1 - y0) / (t1 - t0))
        if hypot(*speed) >= LEAST_DP_S * self.px_per_dp:
            self._speed = speed

    def step(self, seconds: float) -> tuple[float, float]:
        """How far the drawing runs in so many seconds, in pixels."""
        left = exp(-seconds / DIES_S)
        run = tuple(speed * DIES_S * (1.0 - left) for speed in self._speed)
        self._speed = (self._speed[0] * left, self._speed[1] * left)
        if not self.moving:
            self._speed = (0.0, 0.0)
        return run[0], run[1]
