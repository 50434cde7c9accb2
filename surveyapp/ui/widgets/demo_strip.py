"""The strip over every page of the demo day: what it is, and the way back."""

from __future__ import annotations

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon, text  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox


class DemoStrip(PressableBox):
    """Says that all is invented; a tap on it leads back to the own notebook."""


load_kv(__file__)
