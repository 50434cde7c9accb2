"""Fingers on the plan, as plain numbers: one pushes, two push and stretch, a still one holds."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot

TAP_DP = 10.0  # a finger that strays no farther has not moved
HOLD_S = 0.5
TAP_S = 0.45  # a longer touch is no tap
DOUBLE_S = 0.3
DOUBLE_DP = 40.0


@dataclass(frozen=True, slots=True)
class Change:
    """What moving fingers ask of the drawing: first a push, then a zoom about a point."""

    dx_px: float = 0.0
    dy_px: float = 0.0
    factor: float = 1.0
    x_px: float = 0.0
    y_px: float = 0.0


@dataclass(slots=True)
class _Finger:
    x_px: float
    y_px: float
    start_x_px: float
    start_y_px: float
    since_s: float


@dataclass(slots=True)
class Fingers:
    """The fingers that are down; `px_per_dp` turns the limits above into pixels."""

    px_per_dp: float = 1.0
    _down: dict[object, _Finger] = field(default_factory=dict)
    _still: bool = True
    _last_tap: tuple[float, float, float] | None = None

    @property
    def count(self) -> int:
        """How many are down."""
        return len(self._down)

    @property
    def is_still(self) -> bool:
        """One finger is down and has not strayed: it may become a tap or a hold."""
        return self._still and self.count == 1

    def press(self, finger: object, x_px: float, y_px: float, at_s: float) -> None:
        """A finger comes down."""
        self._still = self.count == 0
        self._down[finger] = _Finger(x_px, y_px, x_px, y_px, at_s)

    def move(self, finger: object, x_px: float, y_px: float) -> Change:
        """A finger goes elsewhere; no change while it may still be a tap."""
        moved = self._down[finger]
        if self.is_still and not self._strays(moved, x_px, y_px):
            return Change()
        self._still = False
        others = [other for key, other in self._down.items() if key != finger]
        change = (
            self._stretch(moved, others[0], x_px, y_px)
            if others
            else Change(x_px - moved.x_px, y_px - moved.y_px)
        )
        moved.x_px, moved.y_px = x_px, y_px
        return change

    def lift(self, finger: object, at_s: float) -> str:
        """A finger goes up: 'tap', 'double tap' or ''."""
        lifted = self._down.pop(finger)
        was_tap = self._still and not self._down and at_s - lifted.since_s <= TAP_S
        self._still = False
        if not was_tap:
            return ""
        tap = (lifted.x_px, lifted.y_px, at_s)
        doubled = self._last_tap is not None and self._follows(tap, self._last_tap)
        self._last_tap = None if doubled else tap
        return "double tap" if doubled else "tap"

    def held(self) -> tuple[float, float] | None:
        """Where a finger that has lain still long enough lies; it is then no tap any more."""
        if not self.is_still:
            return None
        self._still = False
        finger = next(iter(self._down.values()))
        return finger.x_px, finger.y_px

    def _strays(self, finger: _Finger, x_px: float, y_px: float) -> bool:
        away_px = hypot(x_px - finger.start_x_px, y_px - finger.start_y_px)
        return away_px > TAP_DP * self.px_per_dp

    def _follows(self, tap: tuple[float, float, float], last: tuple[float, float, float]) -> bool:
        apart_px = hypot(tap[0] - last[0], tap[1] - last[1])
        return tap[2] - last[2] <= DOUBLE_S and apart_px <= DOUBLE_DP * self.px_per_dp

    @staticmethod
    def _stretch(moved: _Finger, other: _Finger, x_px: float, y_px: float) -> Change:
        before_px = hypot(moved.x_px - other.x_px, moved.y_px - other.y_px)
        after_px = hypot(x_px - other.x_px, y_px - other.y_px)
        return Change(
            dx_px=(x_px - moved.x_px) / 2,
            dy_px=(y_px - moved.y_px) / 2,
            factor=after_px / before_px if before_px > 1.0 else 1.0,
            x_px=(x_px + other.x_px) / 2,
            y_px=(y_px + other.y_px) / 2,
        )
