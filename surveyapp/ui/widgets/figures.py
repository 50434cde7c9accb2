"""Lists of figures: a term, its note and its number to a line; and reasons with their figures."""

from __future__ import annotations

from kivy.properties import BooleanProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.expectation_words import Figure, ReasonView
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import text  # noqa: F401
from surveyapp.ui.words import joined


class FigureRow(BoxLayout):
    """One line: `term` over `note`, `number` at the right; a `total` has a rule above it."""

    term = StringProperty("")
    note = StringProperty("")
    number = StringProperty("")
    total = BooleanProperty(False)

    @classmethod
    def of(cls, figure: Figure) -> FigureRow:
        """The row of a figure."""
        return cls(term=figure.term, note=figure.note, number=figure.number, total=figure.total)


class ReasonBox(BoxLayout):
    """A reason with its `place` in the order: title and certainty, a sentence, the next step."""

    place = StringProperty("")
    title = StringProperty("")
    words = StringProperty("")
    next_step = StringProperty("")

    @classmethod
    def of(cls, nth: int, reason: ReasonView) -> ReasonBox:
        """The box of the `nth` reason."""
        title = joined([reason.title, reason.how_sure])
        next_step = f"Next: {reason.next_step}" if reason.next_step else ""
        return cls(place=f"{nth}.", title=title, words=reason.words, next_step=next_step)


load_kv(__file__)
