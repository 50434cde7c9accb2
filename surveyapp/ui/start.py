"""Starts the app: the window in its size, and the first page as soon as can be."""

from __future__ import annotations

import gc
import os
from pathlib import Path

DESK_SIZE = (1100, 780)


def run_app(notebook: Path | None = None, size: tuple[int, int] = DESK_SIZE) -> None:
    """Open the app on a notebook, by default the one kept for this user, until it is closed.

    `size` is that of a desk's window, in pixels; a phone has its own.
    """
    gc.disable()  # while starting all that is made stays: looking for garbage is a tenth of it
    os.environ.setdefault("KIVY_NO_ARGS", "1")
    from kivy.config import Config

    Config.set("kivy", "exit_on_escape", "0")
    for side, pixels in zip(("width", "height"), size, strict=True):
        Config.set("graphics", side, str(pixels))
    from kivy.clock import Clock

    from surveyapp.ui.app import SurveyApp

    Clock.schedule_once(lambda _: Clock.schedule_once(collect_again, 0), 0)
    SurveyApp(notebook).run()


def collect_again(*_: object) -> None:
    """The first page is drawn: collect garbage from now on, but not among what will stay."""
    gc.freeze()
    gc.enable()
