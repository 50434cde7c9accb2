"""Settings: what suits the eyes; each works at once and is kept."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.book.section import Section
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.theme import TEXT_SCALES, load_kv, theme

THEMES = (Choice(value="day", label="Day"), Choice(value="night", label="Night"))
SCALES = tuple(Choice(value=str(scale), label=f"{scale:.0%}") for scale in TEXT_SCALES)


class SettingsSection(Section):
    """Theme and text size."""

    title = StringProperty("Settings")
    themes = ListProperty(THEMES)
    scales = ListProperty(SCALES)
    look = StringProperty("")
    scale = StringProperty("")

    def refresh(self) -> None:
        """Mark what is in force."""
        self.look, self.scale = theme.name, str(float(theme.text_scale))

    def choose_look(self, value: str) -> None:
        """Day or night."""
        self._keep("theme", value, "name")

    def choose_scale(self, value: str) -> None:
        """Text size."""
        self._keep("text_scale", float(value), "text_scale")

    def _keep(self, setting: str, value: Any, part: str) -> None:
        setattr(theme, part, value)
        self.session.attempt(lambda: self.session.notebook.keep_setting(setting, value))
        self.refresh()


load_kv(__file__)
