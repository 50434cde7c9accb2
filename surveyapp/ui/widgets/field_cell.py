"""One field of an entry sheet, as it stands on the page: label, value, ruled line."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon, text  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox


class FieldCell(PressableBox):
    """`label` over `value` and `unit`; `current` has the cursor, `doubtful` a warning sign."""

    name = StringProperty("")
    label = StringProperty("")
    value = StringProperty("")
    unit = StringProperty("")
    current = BooleanProperty(False)
    doubtful = BooleanProperty(False)


load_kv(__file__)
