"""Fingers on the plan: what is a tap, a push, a pinch, a hold."""

from __future__ import annotations

import pytest

from surveyapp.ui.plan.fingers import DOUBLE_S, TAP_DP, TAP_S, Fingers


def test_a_short_still_touch_is_a_tap() -> None:
    """Down and up at one place within TAP_S."""
    fingers = Fingers()
    fingers.press("a", 50, 60, 0.0)
    fingers.move("a", 50 + TAP_DP / 2, 60)

    assert fingers.lift("a", TAP_S / 2) == "tap"


def test_a_long_touch_is_no_tap() -> None:
    """Who thinks before lifting does not trigger anything."""
    fingers = Fingers()
    fingers.press("a", 50, 60, 0.0)

    assert fingers.lift("a", TAP_S * 1.01) == ""


def test_a_trembling_finger_moves_nothing() -> None:
    """Below TAP_DP the drawing stands still, beyond it follows from there on."""
    fingers = Fingers(px_per_dp=2.0)
    fingers.press("a", 0, 0, 0.0)
    trembling = fingers.move("a", TAP_DP * 2 * 0.9, 0)
    pushed = fingers.move("a", TAP_DP * 2 * 1.5, 0)

    assert (trembling.dx_px, pushed.dx_px) == (0.0, pytest.approx(TAP_DP * 3.0))
    assert fingers.lift("a", 0.1) == ""


def test_two_quick_taps_at_one_place_are_a_double_tap() -> None:
    """The third tap begins anew; a tap far away or late is single."""
    fingers = Fingers()
    said = []
    for at_s, x in ((0.0, 10), (0.2, 12), (0.4, 12), (0.5, 200), (0.5 + 2 * DOUBLE_S, 200)):
        fingers.press("a", x, 10, at_s)
        said.append(fingers.lift("a", at_s + 0.05))

    assert said == ["tap", "double tap", "tap", "tap", "tap"]


def test_two_fingers_stretch_about_the_point_between_them() -> None:
    """Twice as far apart is twice as large; the middle of the fingers carries the drawing."""
    fingers = Fingers()
    fingers.press("a", 100, 100, 0.0)
    fingers.press("b", 200, 100, 0.1)
    change = fingers.move("b", 300, 100)

    assert change.factor == pytest.approx(2.0)
    assert (change.x_px, change.y_px) == (200.0, 100.0)
    assert (change.dx_px, change.dy_px) == (50.0, 0.0)
    assert (fingers.lift("a", 0.2), fingers.lift("b", 0.25)) == ("", "")


def test_a_finger_left_over_from_a_pinch_is_no_tap_and_no_hold() -> None:
    """Lifting one of two fingers leaves a push, nothing else."""
    fingers = Fingers()
    fingers.press("a", 100, 100, 0.0)
    fingers.press("b", 200, 100, 0.05)
    fingers.lift("b", 0.1)

    assert fingers.held() is None
    assert fingers.lift("a", 0.2) == ""


def test_a_hold_happens_once_and_takes_the_tap_away() -> None:
    """The place is that of the touch; lifting afterwards does nothing."""
    fingers = Fingers()
    fingers.press("a", 40, 70, 0.0)

    assert fingers.held() == (40, 70)
    assert fingers.held() is None
    assert fingers.lift("a", 0.3) == ""


def test_fingers_on_one_spot_do_not_divide_by_nothing() -> None:
    """Two touches of the same pixel keep the scale."""
    fingers = Fingers()
    fingers.press("a", 10, 10, 0.0)
    fingers.press("b", 10, 10, 0.0)

    assert fingers.move("b", 60, 10).factor == 1.0
