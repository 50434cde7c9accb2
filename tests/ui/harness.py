# ruff: noqa: E402
"""Drives the app without a screen: frames, real touches, keys, pictures, and finding things.

Import this before anything of Kivy: `no_screen` sets the offscreen driver.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from time import sleep
from typing import Any

from tests.ui import no_screen  # noqa: F401

# isort: split
from kivy.config import Config

logging.getLogger("kivy").setLevel(logging.CRITICAL + 1)  # it tells of clipboards not there

# The offscreen surface keeps its first size: make it as large as the largest window tried.
Config.set("graphics", "width", "1440")
Config.set("graphics", "height", "1440")
Config.set("graphics", "multisamples", "0")
Config.set("kivy", "exit_on_escape", "0")

from kivy.animation import Animation
from kivy.base import EventLoop, runTouchApp
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.graphics.opengl import GL_RGB, GL_UNSIGNED_BYTE, glReadPixels
from kivy.input.motionevent import MotionEvent
from kivy.lang import Builder
from kivy.uix.label import Label
from kivy.uix.widget import Widget

from surveyapp.sensors.machine import Sensors
from surveyapp.ui.app import SurveyApp
from surveyapp.ui.speech import Units, speech
from surveyapp.ui.theme import theme
from surveyapp.wording import NO_BREAK
from tests.ui import passing
from tests.ui.passing import FRAME_S, frames, until, wait

__all__ = ["frames", "until", "wait"]  # beside what is written here

SMALL_PHONE = (360, 640)
PHONE = (360, 780)
LAID_DOWN = (780, 360)
LATE_S = 0.5  # a list that can be scrolled may hold a tap back, in case it becomes a drag
LARGE_PHONE = (412, 915)
DESK = (1280, 800)


class Finger(MotionEvent):
    """One touch of the window, given in window pixels from the lower left."""

    def __init__(self, x: float, y: float) -> None:
        super().__init__("tests", f"finger{id(self)}", (x, y), is_touch=True, type_id="touch")
        self.grab_exclusive_class = None
        self.profile = ["pos"]

    def depack(self, args: Any) -> None:
        """Take the place over, in fractions of the window."""
        self.sx, self.sy = args[0] / max(Window.width - 1, 1), args[1] / max(Window.height - 1, 1)
        super().depack(args)


def picture(path: Path) -> None:
    """Draw what is on screen into a PNG."""
    from PIL import Image

    Window.canvas.ask_update()
    frames(2)
    width, height = Window.size
    pixels = glReadPixels(0, 0, width, height, GL_RGB, GL_UNSIGNED_BYTE)
    image = Image.frombytes("RGB", (width, height), pixels)
    image.transpose(Image.Transpose.FLIP_TOP_BOTTOM).save(path)


class Pilot:
    """Holds a running app and a finger; `touches` counts how often it touched."""

    def __init__(self, app: SurveyApp) -> None:
        self.app = app
        self.touches = 0

    @property
    def session(self) -> Any:
        """The app's session."""
        return self.app.session

    @property
    def router(self) -> Any:
        """The app's router."""
        return self.app.router

    def touch_at(self, x: float, y: float) -> None:
        """Touch a place of the window and let go."""
        self.touches += 1
        finger = Finger(x, y)
        for step in ("begin", "end"):
            EventLoop.post_dispatch_input(step, finger)
            frames(1)
        frames(2)

    def drag(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        steps: int = 6,
        step_s: float = 0.0,
    ) -> None:
        """Touch, move in a straight line, let go; lists glide on by the true time of the steps."""
        self.touches += 1
        finger = Finger(*start)
        EventLoop.post_dispatch_input("begin", finger)
        frames(1)
        for step in range(1, steps + 1):
            share = step / steps
            at = [a + (b - a) * share for a, b in zip(start, end, strict=True)]
            finger.move(at)
            EventLoop.post_dispatch_input("update", finger)
            frames(1)
            sleep(step_s)
        EventLoop.post_dispatch_input("end", finger)
        frames(2)

    def touch(self, target: str | Widget, nth: int = 0) -> None:
        """Touch the middle of a widget, or of the `nth` target that says this text."""
        widget = self.find(target, nth) if isinstance(target, str) else target
        self.bring_into_view(widget)
        self.clear_the_way(widget)
        released: list[Any] = []
        if hasattr(widget, "held"):
            widget.bind(on_release=released.append)
        self.touch_at(*widget.to_window(*widget.center))
        end = Clock.get_time() + LATE_S
        while hasattr(widget, "held") and not released and Clock.get_time() < end:
            wait(FRAME_S)
        frames(1)

    def touch_key(self, key: str) -> None:
        """Touch a key of the number pad: a digit, '.', 'Next', 'Save', 'Previous', 'Del', '+/−'."""
        pad = [w for w in self.targets() if type(w).__name__ == "PadKey" and w.text == key]
        assert pad, f"The pad has no key {key!r} now."
        self.touch(pad[0])

    def clear_the_way(self, widget: Widget) -> None:
        """What has just come is let come to rest; a message is tapped away from a target."""
        for part in (widget, *parents_of(widget)):
            until(lambda part=part: getattr(part, "settled", True))
        toast = getattr(self.app.root, "_toast", None)
        if toast is None or toast.parent is None or toast in (widget, *parents_of(widget)):
            return
        if toast.collide_point(*widget.to_window(*widget.center)):
            until(lambda: toast.settled)
            self.touch_at(toast.x + 4, toast.center_y)

    def bring_into_view(self, widget: Widget) -> None:
        """Scroll every list the widget stands in until it is seen."""
        for parent in parents_of(widget):
            if hasattr(parent, "scroll_to"):
                parent.scroll_to(widget, padding=8, animate=False)
                frames(2)

    def find(self, text: str, nth: int = 0) -> Widget:
        """The `nth` touch target on screen whose text is, or else starts with, these words."""
        targets = [w for w in self.targets() if said_by(w)]
        for fits in (lambda said: said == text, lambda said: said.startswith(text)):
            found = [w for w in targets if fits(said_by(w))]
            if len(found) > nth:
                return found[nth]
        said = sorted({said_by(w) for w in targets})
        raise AssertionError(f"Nothing to touch says {text!r}; there is: {said}")

    def targets(self) -> list[Widget]:
        """Everything on screen that can be touched."""
        return [w for w in shown(self.app.root) if is_target(w)]

    def texts(self) -> list[str]:
        """Every text on screen, from top to bottom of the tree."""
        labels = [w for w in shown(self.app.root) if isinstance(w, Label) and w.text]
        return [label.text.replace(NO_BREAK, " ") for label in labels]

    def says(self, words: str) -> bool:
        """Whether these words are part of any text on screen."""
        return any(words in text for text in self.texts())

    def type(self, text: str) -> None:
        """Type into the focused text input, or onto the app's own pad where there is none."""
        for sign in text:
            Window.dispatch("on_key_down", ord(sign), 0, sign, [])
            Window.dispatch("on_textinput", sign)
            frames(1)

    def key(self, code: int) -> None:
        """Press a key by its code: 27 Escape, 13 Enter, 9 Tab, 8 Backspace."""
        Window.dispatch("on_keyboard", code, 0, None, [])
        frames(2)

    def key_down(self, code: int) -> None:
        """Press a key of a physical keyboard that types nothing: 9 Tab, 13 Enter."""
        Window.dispatch("on_key_down", code, 0, None, [])
        frames(2)

    def back(self) -> None:
        """Escape, or Android's Back."""
        self.key(27)


def parents_of(widget: Widget) -> Iterator[Widget]:
    """The parents of a widget, inmost first."""
    parent = widget.parent
    while parent is not None and parent is not Window:
        yield parent
        parent = parent.parent


def said_by(widget: Widget) -> str:
    """What a target says: its own text, else that of the first label in it."""
    own = getattr(widget, "text", "")
    if own:
        return str(own).replace(NO_BREAK, " ")
    labels = [part.text for part in shown(widget) if isinstance(part, Label) and part.text]
    return labels[0].replace(NO_BREAK, " ") if labels else ""


def shown(widget: Widget) -> Iterator[Widget]:
    """The widget and all below it in drawing order, leaving out what takes no room."""
    yield widget
    for child in reversed(widget.children):
        if child.opacity > 0 and child.width > 0.5 and child.height > 0.5:
            yield from shown(child)


def is_target(widget: Widget) -> bool:
    """Whether a finger can do something on this widget."""
    if getattr(widget, "disabled", False):
        return False
    return (
        hasattr(widget, "held")
        or type(widget).__name__ == "TextInput"
        or (any(kind.__name__ == "TextInput" for kind in type(widget).__mro__))
    )


def _skip_painting(*_: Any) -> bool:
    return True  # ends the dispatch before the window's own drawing


def start(
    path: Path,
    size: tuple[int, int] = PHONE,
    clock: Callable[[], datetime] | None = None,
    look: str = "day",
    scale: float = 1.0,
    draw: bool = False,
    sensors: Sensors | None = None,
) -> Pilot:
    """Open the app on the notebook at `path` in a window of this size; see `stop`.

    Without `draw` all happens but the painting itself, which takes most of the time where a
    processor does the work of a graphics card; pictures need it.
    """
    Clock._max_fps = 0
    EventLoop.ensure_window()
    Window.create_window()
    Window.register()
    Window.initialized = True
    Window.size = size
    Window.unbind(on_draw=_skip_painting)
    if not draw:
        Window.bind(on_draw=_skip_painting)
    app = SurveyApp(path, sensors=sensors, **({"clock": clock} if clock else {}))
    app._run_prepare()
    runTouchApp(embedded=True)
    theme.name, theme.text_scale = look, scale
    frames(4)
    return Pilot(app)


def let_go(root: Widget) -> None:
    """Take widgets that are shown no more out of all that would keep them at work."""
    for widget in root.walk(restrict=True):
        Animation.cancel_all(widget)  # scroll bars fade, and would keep their app alive
        Builder.unbind_widget(widget.uid)  # or it would follow each later theme and scale


def stop(pilot: Pilot) -> None:
    """Close the app and leave the window clean for the next; what is due is done before."""
    frames(2)
    pilot.app.stop()
    shell = pilot.app.root
    screens = shell.ids.manager.screens if "manager" in shell.ids else ()
    for part in (shell, *screens):
        let_go(part)
    for child in list(Window.children):
        Window.remove_widget(child)
    Window.canvas.clear()
    theme.name, theme.text_scale = "day", 1.0
    theme.language, theme.left_handed, speech.units = "en", False, Units.METRIC
    passing.collect()
