"""How a reading or run lies to what was expected, in short; a tap asks why."""

from __future__ import annotations

from typing import Any

from kivy.properties import BooleanProperty, ObjectProperty, StringProperty

from surveyapp.ui.expectation_words import Matter, Verdict
from surveyapp.ui.speech import tr
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import icon, strip  # noqa: F401
from surveyapp.ui.widgets.pressable import PressableBox
from surveyapp.ui.widgets.rows import Doubt
from surveyapp.ui.widgets.text import SoftText, Text


class VerdictBox(PressableBox):
    """The strip of the matter `key` (else the first), its verdict, first reason and doubts.

    With `typing` only what a surveyor must hear at once: no reasons, nothing of the other
    matters, and no doubts that the sheet tells itself.
    """

    verdict = ObjectProperty(Verdict())
    key = StringProperty("")
    typing = BooleanProperty(False)
    strip = ObjectProperty(None, allownone=True)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.bind(verdict=self.build, key=self.build, typing=self.build)
        self.build()

    def build(self, *_: Any) -> None:
        """Show the verdict."""
        matter, lines = self.verdict.of(self.key), self.ids.lines
        lines.clear_widgets()
        if matter is None:
            return
        self.strip = matter.strip
        said = matter.verdict if self.typing and matter.told else matter.says
        lines.add_widget(Text(text=tr(said), bold=matter.off != 0))
        for words in self._reasons(matter):
            lines.add_widget(SoftText(text=tr(words)))
        if not self.typing:
            for other in self.verdict.matters:
                if other is not matter and other.told:
                    lines.add_widget(Text(text=tr(other.brief), bold=other.off != 0))
        for words in self._doubts():
            lines.add_widget(Doubt(text=words))

    def _reasons(self, matter: Matter) -> list[str]:
        """The first reason of a value that is off, in full; the verdict names others."""
        if self.typing or matter.off == 0:
            return []
        return [reason.told for reason in matter.reasons[:1]]

    def _doubts(self) -> list[str]:
        """Each doubt once, in short; those accepted are told by the sheet behind this alone."""
        open_ones = [one for one in self.verdict.doubts if not one.accepted]
        told = [one.short for one in open_ones if not (self.typing and one.by_sheet)]
        return list(dict.fromkeys(told))


load_kv(__file__)
