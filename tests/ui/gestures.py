"""What fingers do on the plan beyond a touch and a drag: hold, tap twice, pinch."""

from __future__ import annotations

from typing import Any

from kivy.base import EventLoop

from surveyapp.ui.plan.fingers import DOUBLE_S, HOLD_S
from tests.ui.harness import Finger, Pilot, frames, until, wait

Point = tuple[float, float]


def on_plan(view: Any, place: Point) -> Point:
    """Where a place of the plane, in metres, is in the window."""
    left, bottom = view.to_window(*view.pos)
    x, y = view.viewport.to_window(*place)
    return left + x, bottom + y


def in_window(view: Any, right: float, up: float) -> Point:
    """The point of the window so many pixels from the middle of the drawing."""
    return view.to_window(view.center_x + right, view.center_y + up)


def plan_view(pilot: Pilot) -> Any:
    """The drawing of the Plan place."""
    return pilot.app.root.ids.manager.get_screen("plan").view


def mark_of(pilot: Pilot, name: str) -> Point:
    """Where the mark of a site is in the window."""
    view = plan_view(pilot)
    return on_plan(view, next(m.at for m in view.marks.sites if m.site.name == name))


def tap(pilot: Pilot, at: Point) -> None:
    """A single tap: by the plan's clock so late after the last that it is no double one."""
    view = plan_view(pilot)
    before = view.clock
    view.clock = lambda: before() + 2 * DOUBLE_S
    pilot.touch_at(*at)


def hold(pilot: Pilot, at: Point) -> None:
    """A finger that rests at a place, then leaves."""
    pilot.touches += 1
    finger = Finger(*at)
    EventLoop.post_dispatch_input("begin", finger)
    wait(HOLD_S * 1.3)
    EventLoop.post_dispatch_input("end", finger)
    frames(4)


def pinch(pilot: Pilot, middle: Point, from_px: float, to_px: float) -> None:
    """Two fingers beside a point that go from one distance apart to another."""
    pilot.touches += 2
    x, y = middle
    left, right = Finger(x - from_px / 2, y), Finger(x + from_px / 2, y)
    for finger in (left, right):
        EventLoop.post_dispatch_input("begin", finger)
    for step in range(1, 9):
        half = (from_px + (to_px - from_px) * step / 8) / 2
        for finger, at in ((left, x - half), (right, x + half)):
            finger.move((at, y))
            EventLoop.post_dispatch_input("update", finger)
        frames(1)
    for finger in (left, right):
        EventLoop.post_dispatch_input("end", finger)
    frames(2)


def answered(pilot: Pilot) -> None:
    """Let the app run until the plan has its answer."""
    page = pilot.app.root.ids.manager.get_screen("plan")
    until(lambda: not page.asking.work.busy)
    frames(4)
