"""What the phone's bars cover of the window, against a fake of Android's insets."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from surveyapp.sensors.machine import Sensors
from surveyapp.sensors.screen_edges import AndroidEdges, Edges
from tests.sensors.fake_android import Phone, getters

BARS, CUTOUT = 7, 128  # WindowInsets.Type.systemBars(), displayCutout() of API 30 and later
WINDOW = (1080, 2340)  # pixels of the whole window


def rect(left: int, top: int, right: int, bottom: int) -> SimpleNamespace:
    """An android.graphics.Insets or Rect."""
    return SimpleNamespace(left=left, top=top, right=right, bottom=bottom)


def show(phone: Phone, insets: Any, ours: tuple[int, int, int, int]) -> None:
    """Lay our view at `ours` (left, top, right, bottom) in a window with these insets."""
    width, height = WINDOW
    root = getters(RootWindowInsets=insets, Width=width, Height=height)
    phone.activity.getWindow = lambda: getters(DecorView=root)

    def visible(place: SimpleNamespace) -> bool:
        place.left, place.top, place.right, place.bottom = ours
        return True

    view = SimpleNamespace(getGlobalVisibleRect=visible)
    phone.classes["org.libsdl.app.SDLActivity"] = getters(ContentView=view)
    phone.classes["android.graphics.Rect"] = lambda: rect(0, 0, 0, 0)
    phone.classes["android.view.WindowInsets$Type"] = SimpleNamespace(
        systemBars=lambda: BARS, displayCutout=lambda: CUTOUT
    )


def typed(types: int) -> SimpleNamespace:
    """What getInsets answers: status bar with its camera, and the navigation bar."""
    assert types == BARS | CUTOUT
    return rect(0, 96, 0, 126)


def test_a_window_under_the_bars_is_covered_by_them(phone: Phone) -> None:
    """Android 15 lays every app under its bars."""
    show(phone, SimpleNamespace(getInsets=typed), (0, 0, *WINDOW))

    assert AndroidEdges().now() == Edges(0, 96, 0, 126)


def test_a_window_between_the_bars_is_not_covered(phone: Phone) -> None:
    """Where the system lays the view between its bars their height is not taken off twice."""
    show(phone, SimpleNamespace(getInsets=typed), (0, 96, 1080, 2340 - 126))

    assert AndroidEdges().now() == Edges()


@pytest.mark.parametrize(("sdk", "top_px"), [(28, 110), (27, 96)])
def test_older_systems_tell_bars_and_cutout_apart(phone: Phone, sdk: int, top_px: int) -> None:
    """The larger counts; before API 28 there were no cutouts to ask for."""
    cutout = getters(SafeInsetLeft=0, SafeInsetTop=110, SafeInsetRight=0, SafeInsetBottom=0)
    insets = getters(
        SystemWindowInsetLeft=0, SystemWindowInsetTop=96, SystemWindowInsetRight=0,
        SystemWindowInsetBottom=126, DisplayCutout=cutout,
    )  # fmt: skip
    phone.classes["android.os.Build$VERSION"].SDK_INT = sdk
    show(phone, insets, (0, 0, *WINDOW))

    assert AndroidEdges().now() == Edges(0, top_px, 0, 126)


def test_where_nothing_is_known_nothing_is_covered(phone: Phone) -> None:
    """Before the first layout, on a build without these classes, and on a desk."""
    assert AndroidEdges().now() == Edges()
    show(phone, None, (0, 0, *WINDOW))
    assert AndroidEdges().now() == Edges()
    assert Sensors().edges.now() == Edges()
