"""What follows from the sheet's fields, as lines that cannot be touched."""

from __future__ import annotations

from typing import Any

from kivy.metrics import dp
from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import rows, text  # noqa: F401
from surveyapp.ui.widgets.small_picture import SmallPicture


class ToldRow(BoxLayout):
    """`label` over `value`, and a `doubt` and a picture `small` below where there is one."""

    label = StringProperty("")
    value = StringProperty("")
    doubt = StringProperty("")
    small = ObjectProperty(None, allownone=True)

    def on_small(self, *_: Any) -> None:
        """Make room for the first picture; the next ones go into it."""
        if self.small is not None and not self._has_picture():
            picture = SmallPicture(side=dp(160))
            self.bind(small=picture.setter("small"))
            picture.small = self.small
            self.add_widget(picture)

    def _has_picture(self) -> bool:
        return any(isinstance(part, SmallPicture) for part in self.children)


class ToldList(BoxLayout):
    """One row for each `Told` in `lines`."""

    lines = ListProperty([])

    def on_lines(self, *_: Any) -> None:
        """Reuse the rows there are; add or take away at the end."""
        have = list(reversed(self.children))
        for row in have[len(self.lines) :]:
            self.remove_widget(row)
        for at, line in enumerate(self.lines):
            row = have[at] if at < len(have) else ToldRow()
            row.label, row.value, row.doubt = line.label, line.value, line.doubt
            row.small = line.small
            if at >= len(have):
                self.add_widget(row)


load_kv(__file__)
