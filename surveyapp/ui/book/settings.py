"""Settings: what suits the eyes and the hand; each works at once and is kept."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.book.section import Section
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.theme import TEXT_SCALES, load_kv, theme

THEMES = (Choice(value="day", label="Day"), Choice(value="night", label="Night"))
SCALES = tuple(Choice(value=str(scale), label=f"{scale:.0%}") for scale in TEXT_SCALES)
HANDS = (Choice(value="right", label="Right hand"), Choice(value="left", label="Left hand"))


class SettingsSection(Section):
    """Theme, text size and the hand that holds the phone."""

    title = StringProperty("Settings")
    themes = ListProperty(THEMES)
    scales = ListProperty(SCALES)
    hands = ListProperty(HANDS)
    look = StringProperty("")
    scale = StringProperty("")
    hand = StringProperty("")

    def refresh(self) -> None:
        """Mark what is in force."""
        self.look, self.scale = theme.name, str(float(theme.text_scale))
        self.hand = "left" if theme.left_handed else "right"

    def choose_look(self, value: str) -> None:
        """Day or night."""
        self._keep("theme", value, "name")

    def choose_scale(self, value: str) -> None:
        """Text size."""
        self._keep("text_scale", float(value), "text_scale")

    def choose_hand(self, value: str) -> None:
        """The hand that holds the phone."""
        self._keep("left_handed", value == "left", "left_handed")

    def _keep(self, setting: str, value: Any, part: str) -> None:
        setattr(theme, part, value)
        self.session.attempt(lambda: self.session.notebook.keep_setting(setting, value))
        self.refresh()


load_kv(__file__)
