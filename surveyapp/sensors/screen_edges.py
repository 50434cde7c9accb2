"""How much of the window's edges the phone covers: its status and navigation bars, its camera.

Since Android 15 a window reaches under them. Tested against a fake of Android's classes; no
phone was at hand.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any, NamedTuple

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors import android

ACTIVITY_OF_WINDOW = "org.libsdl.app.SDLActivity"
INSETS_BY_TYPE = 30  # API level of WindowInsets.getInsets(types)
CUTOUTS = 28  # API level of WindowInsets.getDisplayCutout()


class Edges(NamedTuple):
    """What is covered at each side of the window, in pixels."""

    left_px: int = 0
    top_px: int = 0
    right_px: int = 0
    bottom_px: int = 0


class ScreenEdges(ABC):
    """The port; never raises: where nothing is known nothing is covered."""

    @abstractmethod
    def now(self) -> Edges:
        """What is covered now; it changes when the phone is turned."""


class AndroidEdges(ScreenEdges):
    """The insets of the window's root, less what the system keeps free around our view itself."""

    def now(self) -> Edges:
        """Bars and cutout, as far as they reach into our view."""
        try:
            root = android.activity().getWindow().getDecorView()
            covered = _insets(root.getRootWindowInsets())
            view = android.java(ACTIVITY_OF_WINDOW).getContentView()
            ours = android.java("android.graphics.Rect")()
            view.getGlobalVisibleRect(ours)
            right, bottom = root.getWidth() - ours.right, root.getHeight() - ours.bottom
            free = (ours.left, ours.top, right, bottom)
        except Exception:
            return Edges()
        return Edges(*(max(0, int(c) - max(0, int(f))) for c, f in zip(covered, free, strict=True)))


class FixedEdges(ScreenEdges):
    """A window of which always the same is covered; a test may change `edges`."""

    def __init__(self, edges: Edges | None = None) -> None:
        self.edges = edges or Edges()

    def now(self) -> Edges:
        """As set."""
        return self.edges


def _insets(insets: Any) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of bars and cutout together; none before the first layout."""
    if insets is None:
        raise SensorUnavailable("The window has no insets yet.")
    if android.sdk() >= INSETS_BY_TYPE:
        types = android.java("android.view.WindowInsets$Type")
        found = insets.getInsets(types.systemBars() | types.displayCutout())
        return found.left, found.top, found.right, found.bottom
    bars = (
        insets.getSystemWindowInsetLeft(), insets.getSystemWindowInsetTop(),
        insets.getSystemWindowInsetRight(), insets.getSystemWindowInsetBottom(),
    )  # fmt: skip
    cutout = insets.getDisplayCutout() if android.sdk() >= CUTOUTS else None
    if cutout is None:
        return bars
    cut = (
        cutout.getSafeInsetLeft(), cutout.getSafeInsetTop(),
        cutout.getSafeInsetRight(), cutout.getSafeInsetBottom(),
    )  # fmt: skip
    left, top, right, bottom = map(max, zip(bars, cut, strict=True))
    return left, top, right, bottom
