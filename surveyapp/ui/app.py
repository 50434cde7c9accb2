"""The app: opens the notebook, wires session, router and shell, and flushes on pause."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any

os.environ.setdefault("KIVY_NO_ARGS", "1")  # the command line is ours, not Kivy's

from kivy.app import App
from kivy.clock import Clock
from kivy.core.window import Window
from kivy.uix.screenmanager import NoTransition, TransitionBase
from kivy.uix.widget import Widget
from kivy.utils import platform

from surveyapp.errors import SurveyError
from surveyapp.languages import SOURCE, languages
from surveyapp.sensors.android import on_android
from surveyapp.store.notebook import Notebook, utc_now
from surveyapp.store.opening import judge_whole, open_file
from surveyapp.ui.daily import DailyBackup
from surveyapp.ui.kivy_ticks import KivyTicks
from surveyapp.ui.notebooks import Notebooks, is_new
from surveyapp.ui.router import Router
from surveyapp.ui.screens import HOME
from surveyapp.ui.senses.senses import Senses
from surveyapp.ui.session import Session
from surveyapp.ui.shell import Shell
from surveyapp.ui.speech import Units, speech
from surveyapp.ui.theme import theme
from surveyapp.ui.widgets.rows import EmptyState

if TYPE_CHECKING:
    from surveyapp.sensors.machine import Sensors
    from surveyapp.ui.kept_clear import KeptClear

ESCAPE, UNDO_KEY = 27, ord("z")
PHONES = ("android", "ios")
NOTEBOOK_NAME = "survey.notebook"
NOT_OPENED = "This notebook cannot be opened"


class SurveyApp(App):
    """One notebook on screen. `clock`, `transition`, `sensors` can be handed in by tests."""

    title = "Survey notebook"
    name = "surveyapp"
    use_kivy_settings = False

    def __init__(
        self,
        notebook_path: Path | None = None,
        clock: Callable[[], datetime] = utc_now,
        transition: TransitionBase | None = None,
        sensors: Sensors | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(**kwargs)
        self._path = notebook_path
        self._clock = clock
        self._sensors = sensors or sensors_of_machine(clock)
        self._transition = transition or NoTransition()
        self._notebooks: Notebooks | None = None
        self._clear: KeptClear | None = None
        self.session: Session | None = None
        self.router: Router | None = None

    def build(self) -> Widget:
        """Open the notebook, or make it, and show where its owner left off.

        A notebook that cannot be opened is told in a sentence; nothing in it is touched.
        """
        if self._notebooks is None:
            self._notebooks = Notebooks(self._path or self.default_path())
            self._notebooks.wanted.bind(Clock.create_trigger(lambda _: self._open_other(), 0))
        try:
            notebook = self._notebooks.opened(self._open)
        except SurveyError as error:
            return EmptyState(title=NOT_OPENED, text=str(error))
        looking = Looking(notebook.path)  # meanwhile, as it takes as long as all else here
        shell: Shell | None = None
        try:
            shell = self._shell(notebook)
            looking.judge()
        except SurveyError as error:
            looking.join()
            if shell is not None:
                shell.rest()  # its pages would ask the closed notebook in the next frame
            self.session = None
            notebook.close()
            if self._notebooks.left_demo():
                return self.build()
            return EmptyState(title=NOT_OPENED, text=str(error))
        self._begin()
        if self._sensors is not None:
            from surveyapp.ui.kept_clear import KeptClear

            self._clear = KeptClear(shell, self._sensors.edges)
        return shell

    def _open(self, path: Path) -> Notebook:
        return open_or_create(path, self._clock)

    def _open_other(self) -> None:
        """Close this notebook, and show the other one in the same window."""
        self.on_stop()
        Window.remove_widget(self.root)
        self.root = self.build()
        Window.add_widget(self.root)

    def _shell(self, notebook: Notebook) -> Shell:
        """The app's frame on a notebook, which is read for it and not written to."""
        theme.name = notebook.setting("theme", "day")
        theme.text_scale = notebook.setting("text_scale", 1.0)
        theme.left_handed = notebook.setting("left_handed", False)
        theme.language = known_language(notebook.setting("language", SOURCE))
        speech.units = Units(notebook.setting("units", Units.METRIC))
        self.session = Session(notebook, self._clock)
        self.router = Router(self.session, self._notebooks)
        return Shell(session=self.session, router=self.router, transition=self._transition)

    def _begin(self) -> None:
        """The notebook is sound: take the work up again."""
        self.session.senses = Senses(self.session, self._sensors, KivyTicks())
        self._daily = DailyBackup(self.session, KivyTicks())
        self.router.restore()
        begins = self.router.pages == [(HOME, {})] and not self.router.sheets
        if begins and is_new(self.session.notebook):
            self.router.push("first_run")
        if not self.session.notebook.setting("cautions_read", False):
            self.router.push("cautions")
        Window.bind(on_keyboard=self.on_key)
        if platform in PHONES:
            Window.softinput_mode = "below_target"

    def default_path(self) -> Path:
        """Where the notebook of this user is kept."""
        if platform == "linux":  # Kivy makes only the last folder of its path
            around = os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config"
            Path(around).mkdir(parents=True, exist_ok=True)
        return Path(self.user_data_dir) / NOTEBOOK_NAME

    def on_key(
        self, _window: Any, key: int, _scan: int, _text: str | None, modifiers: list[str]
    ) -> bool:
        """Escape and Android's Back take one step back; what is left is the system's.

        On a page Ctrl+Z undoes the last action, with Shift too it is done again.
        """
        if self.router is None:
            return False
        if key == ESCAPE:
            return self.router.back()
        if key != UNDO_KEY or "ctrl" not in modifiers or self.router.sheets:
            return False
        self.session.attempt(self.session.redo if "shift" in modifiers else self.session.undo)
        return True

    def on_resume(self) -> None:
        """The bars may have changed meanwhile."""
        if self._clear is not None:
            self._clear.ask()

    def on_pause(self) -> bool:
        """Each keystroke is on disk already, so there is nothing to save: just wait."""
        return True

    def on_stop(self) -> None:
        """Close the notebook."""
        Window.unbind(on_keyboard=self.on_key)
        if self._clear is not None:
            self._clear.rest()
        if self.session is not None:
            self._daily.rest()
            self.session.senses.rest()
            self.root.rest()
            self.session.notebook.close()


class Looking(Thread):
    """Reads a notebook's file whole in a thread of its own, from now on."""

    def __init__(self, path: Path) -> None:
        super().__init__(name="looking through the notebook")
        self._path = path
        self._whole = True
        self.start()

    def run(self) -> None:
        """Keep whether all is well."""
        try:
            judge_whole(self._path)
        except SurveyError:
            self._whole = False

    def judge(self) -> None:
        """Wait for the end; where something is wrong, meet it again here and raise it."""
        self.join()
        if not self._whole:
            judge_whole(self._path)


def sensors_of_machine(clock: Callable[[], datetime]) -> Sensors | None:
    """A phone's sensors; a desk has none."""
    if not on_android():
        return None
    from surveyapp.sensors.machine import real_sensors

    return real_sensors(clock)


def known_language(code: str) -> str:
    """The language kept, or English where this program has no catalogue of it."""
    if code == SOURCE:  # its catalogues need not be read
        return SOURCE
    return code if any(language.code == code for language in languages()) else SOURCE


def open_or_create(path: Path, clock: Callable[[], datetime] = utc_now) -> Notebook:
    """The notebook at `path`, made where there is none. Raises as Notebook.open does.

    The file is not read whole here: see Looking.
    """
    if not path.exists():
        return Notebook.create(path, clock)
    return Notebook(open_file(path, whole=False), clock)
