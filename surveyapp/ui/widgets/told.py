"""What follows from the sheet's fields, as lines that cannot be touched."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import rows, text  # noqa: F401


class ToldRow(BoxLayout):
    """`label` over `value`, and a `doubt` below where there is one."""

    label = StringProperty("")
    value = StringProperty("")
    doubt = StringProperty("")


class ToldList(BoxLayout):
    """One row for each `Told` in `lines`."""

    lines = ListProperty([])

    def on_lines(self, *_: Any) -> None:
        """Reuse the rows there are; add or take away at the end."""
        have = list(reversed(self.children))
        for row in have[len(self.lines) :]:
            self.remove_widget(row)
        for at, line in enumerate(self.lines):
            if at >= len(have):
                self.add_widget(ToldRow(label=line.label, value=line.value, doubt=line.doubt))
                continue
            row = have[at]
            row.label, row.value, row.doubt = line.label, line.value, line.doubt


load_kv(__file__)
