"""Settings: what suits eyes, hands and habits; each works at once and is kept."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, StringProperty

from surveyapp.languages import languages
from surveyapp.ui.book.section import Section
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.speech import Units, speech, tr
from surveyapp.ui.theme import TEXT_SCALES, load_kv, theme

LEFT, RIGHT = "left", "right"
SCALES = tuple(Choice(value=str(scale), label=f"{scale:.0%}") for scale in TEXT_SCALES)


class SettingsSection(Section):
    """Theme, text size, language, units, hand."""

    title = StringProperty("Settings")
    themes = ListProperty([])
    scales = ListProperty(SCALES)
    tongues = ListProperty([])
    systems = ListProperty([])
    hands = ListProperty([])
    look = StringProperty("")
    scale = StringProperty("")
    tongue = StringProperty("")
    units = StringProperty("")
    hand = StringProperty("")

    def refresh(self) -> None:
        """Mark what is in force."""
        self.title = tr("Settings")
        self.themes = [
            Choice(value="day", label=tr("Day theme")),
            Choice(value="night", label=tr("Night theme")),
        ]
        self.tongues = [Choice(value=one.code, label=one.name) for one in languages()]
        self.systems = [
            Choice(value=Units.METRIC, label=tr("Metres and kilometres")),
            Choice(value=Units.US, label=tr("Feet and miles")),
        ]
        self.hands = [
            Choice(value=RIGHT, label=tr("Right hand")),
            Choice(value=LEFT, label=tr("Left hand")),
        ]
        self.look, self.scale = theme.name, str(float(theme.text_scale))
        self.tongue, self.units = theme.language, speech.units.value
        self.hand = LEFT if theme.left_handed else RIGHT

    def choose_look(self, value: str) -> None:
        """Day or night."""
        theme.name = value
        self._keep("theme", value)

    def choose_scale(self, value: str) -> None:
        """Text size."""
        theme.text_scale = float(value)
        self._keep("text_scale", float(value))

    def choose_tongue(self, value: str) -> None:
        """The language of the screens."""
        theme.language = value
        self._keep("language", value)

    def choose_units(self, value: str) -> None:
        """Units of length on screen; values are stored in metres all the same."""
        speech.units = Units(value)
        theme.say_anew()
        self._keep("units", value)

    def choose_hand(self, value: str) -> None:
        """On which side the thumb is."""
        theme.left_handed = value == LEFT
        self._keep("left_handed", theme.left_handed)

    def _keep(self, setting: str, value: Any) -> None:
        self.session.attempt(lambda: self.session.notebook.keep_setting(setting, value))
        self.refresh()
        self.session.changed.fire()


load_kv(__file__)
