"""The level that counts as covered: stepped by chips, or typed on the app's own pad."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.store.stop_columns import HIGH_DBM, LOW_DBM
from surveyapp.ui.entries.field import Field, Sign
from surveyapp.ui.entries.state import pressed
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, pad  # noqa: F401
from surveyapp.ui.widgets import text as texts  # noqa: F401
from surveyapp.ui.words import number

STEP_DB = 5.0
LEVEL = Field(
    name="level", label="Level", unit="dBm", sign=Sign.EITHER, decimals=1, low=LOW_DBM,
    high=HIGH_DBM, needed=True,
)  # fmt: skip


class LevelPane(BoxLayout):
    """Holds `level_dbm`; while what was typed cannot be a level, `sentence` says so."""

    level_dbm = NumericProperty(0)
    typed = StringProperty("")
    sentence = StringProperty("")
    typing = BooleanProperty(False)
    fresh = BooleanProperty(True)

    def start(self, level_dbm: float) -> None:
        """Begin with this level."""
        self.level_dbm = level_dbm
        self.typed = number(level_dbm).replace("\N{MINUS SIGN}", "-")

    @property
    def shown(self) -> str:
        """What was typed, with its unit."""
        return f"{LEVEL.shown(self.typed)} {LEVEL.unit}"

    def step(self, steps: int) -> None:
        """A higher or a lower level."""
        self.start(min(max(self.level_dbm + steps * STEP_DB, LOW_DBM), HIGH_DBM))
        self.sentence, self.fresh = "", True

    def toggle(self) -> None:
        """Show the pad, or put it away."""
        self.typing, self.fresh = not self.typing, True

    def key(self, key: str) -> None:
        """A key of the pad; a level is negative until its sign is changed."""
        if self.fresh and (key.isdigit() or key == "."):
            self.typed = "-"
        self.fresh = False
        self.typed = pressed(self.typed, key, LEVEL)
        self.sentence = LEVEL.problem(self.typed)
        if not self.sentence:
            self.level_dbm = LEVEL.value(self.typed)

    def on_typing(self, *_: Any) -> None:
        """The pad comes and goes."""
        if self.typing:
            self.ids.room.add_widget(self._pad)
        else:
            self.ids.room.remove_widget(self._pad)

    def on_kv_post(self, *_: Any) -> None:
        """Hold the pad until it is asked for."""
        self._pad = self.ids.pad.__self__
        self.ids.room.remove_widget(self._pad)


load_kv(__file__)
