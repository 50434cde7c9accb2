"""The surveyor's own notebook and the demo day's beside it: two files, never mixed. No Kivy here.

The demo day is written into a folder of its own beside the own notebook, once; what is tried in
it stays there. The own notebook remembers which of the two was open last.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from surveyapp.errors import SurveyError
from surveyapp.model import Device, Site, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.events import Event

IN_DEMO = "demo_open"  # the own notebook's setting
OVER = "first_run_over"
FOLDER = "demo day"
DEMO_NAME = "demo.notebook"
CARRIED = ("theme", "text_scale", "left_handed", "language", "units", "cautions_read")


class Notebooks:
    """Which notebook is open; `wanted` fires with the path of the one to open instead."""

    def __init__(self, own: Path) -> None:
        self.own = own
        self.now = own
        self.wanted = Event()

    @property
    def demo(self) -> Path:
        """Where the demo day's notebook lies, or will."""
        return self.own.parent / FOLDER / DEMO_NAME

    @property
    def in_demo(self) -> bool:
        """Whether the demo day is open."""
        return self.now != self.own

    def opened(self, open_path: Callable[[Path], Notebook]) -> Notebook:
        """The notebook to show, opened: at the start the one the own notebook remembers.

        A demo day that cannot be opened is left; raises where the own notebook cannot be.
        """
        self.now = self.own
        own = open_path(self.own)
        if not (own.setting(IN_DEMO, False) and self.demo.is_file()):
            return own
        try:
            demo = open_path(self.demo)
        except SurveyError:
            own.keep_setting(IN_DEMO, False)
            return own
        own.close()
        self.now = self.demo
        return demo

    def left_demo(self) -> bool:
        """Leave a demo day that is damaged; False where the own notebook was open."""
        if not self.in_demo:
            return False
        self._remember(False)
        return True

    def open_demo(self, own: Notebook) -> None:
        """Leave the own notebook for the demo day, which is there already."""
        carry_over(own, self.demo)
        own.keep_setting(IN_DEMO, True)
        self.now = self.demo
        self.wanted.fire()

    def open_own(self) -> None:
        """Back to the own notebook."""
        self._remember(False)
        self.wanted.fire()

    def _remember(self, in_demo: bool) -> None:
        with Notebook.open(self.own) as own:
            own.keep_setting(IN_DEMO, in_demo)
        self.now = self.demo if in_demo else self.own


def write_demo_day(own: Path, _subject: str, _leave: Callable[[], bool]) -> Path:
    """Write the demo day beside the own notebook, unless it is there; its path.

    Raises NotebookError where it cannot be written.
    """
    from surveyapp.demo.write import write_demo

    notebooks = Notebooks(own)
    if not notebooks.demo.is_file():
        write_demo(notebooks.demo.parent)
    return notebooks.demo


def carry_over(own: Notebook, demo: Path) -> None:
    """The surveyor's theme, text size, language and the like, for the demo day too."""
    with Notebook.open(demo) as other:
        for name in CARRIED:
            value = own.setting(name, None)
            if value is not None and other.setting(name, None) != value:
                other.keep_setting(name, value)


def is_new(notebook: Notebook) -> bool:
    """Whether nothing was entered yet, and the first page not answered."""
    if notebook.setting(OVER, False):
        return False
    return not any(notebook.count(kind) for kind in (Survey, Site, Device))
