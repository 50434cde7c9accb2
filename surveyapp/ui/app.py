"""The app: opens the notebook, wires session, router and shell, and flushes on pause."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

os.environ.setdefault("KIVY_NO_ARGS", "1")  # the command line is ours, not Kivy's

from kivy.app import App
from kivy.config import Config
from kivy.core.window import Window
from kivy.uix.screenmanager import NoTransition, TransitionBase
from kivy.uix.widget import Widget
from kivy.utils import platform

from surveyapp.errors import SurveyError
from surveyapp.languages import SOURCE, languages
from surveyapp.sensors.android import on_android
from surveyapp.store.notebook import Notebook, utc_now
from surveyapp.ui.kivy_ticks import KivyTicks
from surveyapp.ui.router import Router
from surveyapp.ui.senses.senses import Senses
from surveyapp.ui.session import Session
from surveyapp.ui.shell import Shell
from surveyapp.ui.speech import Units, speech
from surveyapp.ui.theme import theme
from surveyapp.ui.widgets.rows import EmptyState

if TYPE_CHECKING:
    from surveyapp.sensors.machine import Sensors

ESCAPE = 27
PHONES = ("android", "ios")
DESK_SIZE = (1100, 780)
NOTEBOOK_NAME = "survey.notebook"


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
        self.session: Session | None = None
        self.router: Router | None = None

    def build(self) -> Widget:
        """Open the notebook, or make it, and show where its owner left off.

        A notebook that cannot be opened is told in a sentence; nothing in it is touched.
        """
        try:
            notebook = open_or_create(self._path or self.default_path(), self._clock)
        except SurveyError as error:
            return EmptyState(title="This notebook cannot be opened", text=str(error))
        theme.name = notebook.setting("theme", "day")
        theme.text_scale = notebook.setting("text_scale", 1.0)
        theme.left_handed = notebook.setting("left_handed", False)
        theme.language = known_language(notebook.setting("language", SOURCE))
        speech.units = Units(notebook.setting("units", Units.METRIC))
        self.session = Session(notebook, self._clock)
        self.session.senses = Senses(self.session, self._sensors, KivyTicks())
        self.router = Router(self.session)
        shell = Shell(session=self.session, router=self.router, transition=self._transition)
        self.router.restore()
        if not notebook.setting("cautions_read", False):
            self.router.push("cautions")
        Window.bind(on_keyboard=self.on_key)
        if platform in PHONES:
            Window.softinput_mode = "below_target"
        return shell

    def default_path(self) -> Path:
        """Where the notebook of this user is kept."""
        if platform == "linux":  # Kivy makes only the last folder of its path
            around = os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config"
            Path(around).mkdir(parents=True, exist_ok=True)
        return Path(self.user_data_dir) / NOTEBOOK_NAME

    def on_key(self, _window: Any, key: int, *_: Any) -> bool:
        """Escape and Android's Back take one step back; what is left is the system's."""
        return key == ESCAPE and self.router is not None and self.router.back()

    def on_pause(self) -> bool:
        """Each keystroke is on disk already, so there is nothing to save: just wait."""
        return True

    def on_stop(self) -> None:
        """Close the notebook."""
        Window.unbind(on_keyboard=self.on_key)
        if self.session is not None:
            self.session.senses.rest()
            self.root.rest()
            self.session.notebook.close()


def sensors_of_machine(clock: Callable[[], datetime]) -> Sensors | None:
    """A phone's sensors; a desk has none."""
    if not on_android():
        return None
    from surveyapp.sensors.machine import real_sensors

    return real_sensors(clock)


def known_language(code: str) -> str:
    """The language kept, or English where this program has no catalogue of it."""
    return code if any(language.code == code for language in languages()) else SOURCE


def open_or_create(path: Path, clock: Callable[[], datetime] = utc_now) -> Notebook:
    """The notebook at `path`, made where there is none. Raises as Notebook.open does."""
    return Notebook.open(path, clock) if path.exists() else Notebook.create(path, clock)


def run_app(notebook: Path | None = None) -> None:
    """Open the app on a notebook, by default the one kept for this user, until it is closed."""
    Config.set("kivy", "exit_on_escape", "0")
    if platform not in PHONES:
        Window.size = DESK_SIZE
    SurveyApp(notebook).run()
