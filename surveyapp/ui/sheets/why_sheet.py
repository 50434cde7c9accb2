"""Why a value is what it is: the strip, the reasons in order, where every decibel went."""

from __future__ import annotations

from itertools import count
from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.entries.field import Choice
from surveyapp.ui.expectation_words import Matter, Table, Verdict
from surveyapp.ui.session import Session
from surveyapp.ui.sheets.sheet import Sheet, load_kv
from surveyapp.ui.speech import tr
from surveyapp.ui.widgets.figures import FigureRow, ReasonBox
from surveyapp.ui.widgets.rows import Doubt
from surveyapp.ui.widgets.strip import StripDrawing  # noqa: F401
from surveyapp.ui.widgets.text import Heading, SoftText
from surveyapp.ui.words import joined

NOTHING = "Nothing stands out."
EVEN = "Mark: measured. Dark band: expected, within one ±; light band: within two."
UNEVEN = "Mark: measured. Band: expected, from least to most; the line in it: likeliest."
ACCEPTED = "You have accepted this."


class Aside(SoftText):
    """A remark of second rank, set in like the lists around it."""


class LargeStrip(BoxLayout):
    """The expectation strip on top of the sheet, with the ends of its range.

    The numbers stand in the sentence below it; `said` tells those of a value alone.
    """

    strip = ObjectProperty(None, allownone=True)
    low = StringProperty("")
    high = StringProperty("")
    legend = StringProperty("")
    said = StringProperty("")

    def on_strip(self, *_: Any) -> None:
        """Hand the numbers to the drawing."""
        given = self.strip
        self.ids.drawing.show(given)
        self.legend = "" if given.near is None else UNEVEN if given.far is None else EVEN
        self.said = "" if given.near is not None else given.text


class WhySheet(Sheet):
    """Tells one matter of a `Verdict` at a time; chips change between them.

    For an entry in the notebook (`row_id`) the whole survey is looked through meanwhile, and
    the sheet tells it anew where that shows more, as of a panel that hangs otherwise than noted.
    """

    matters = ListProperty([])
    key = StringProperty("")
    found = StringProperty("")
    words = StringProperty("")
    strip = ObjectProperty(None, allownone=True)
    low = StringProperty("")
    high = StringProperty("")

    def __init__(
        self, verdict: Verdict, device_id: str, key: str = "", row_id: str = "", **kwargs: Any
    ) -> None:
        self.verdict, self._row_id = verdict, row_id
        self._renew_soon = Clock.create_trigger(lambda _: self.renew(), 0)
        super().__init__(title="Why", **kwargs)
        self.subtitle = _stop_and_phone(self.session, device_id)
        every = verdict.matters
        if len(every) > 1:
            self.matters = [Choice(value=one.key, label=one.label) for one in every]
        self.choose(self.verdict.of(key).key)
        if row_id and self.session.survey is not None:
            self.session.reviewer.done.bind(self._renew_soon)
            self.session.reviewer.ask(self.session.survey.id)
            self._renew_soon()

    def renew(self) -> None:
        """Tell it anew where the whole survey shows more."""
        session = self.session
        if session.scene is None:
            return
        told = session.verdicts().get(self._row_id)
        if told is not None and told.matters and told != self.verdict:
            self.verdict = told
            self.choose(self.key)
            session.changed.fire()

    def left(self) -> None:
        """Follow the look through the survey no longer."""
        self._let_go()
        super().left()

    def rest(self) -> None:
        """The notebook is about to be closed: what is under way is for nobody."""
        self._let_go()
        self.session.reviewer.rest()

    def _let_go(self) -> None:
        self._renew_soon.cancel()
        self.session.reviewer.done.unbind(self._renew_soon)

    def choose(self, key: str) -> None:
        """Tell this matter."""
        matter = self.verdict.of(key)
        self.key, self.words = matter.key, matter.words
        self.found = matter.headline or matter.verdict
        self.strip, (self.low, self.high) = matter.strip, matter.ends
        self.ids.lists.clear_widgets()
        self._add_reasons(matter)
        self._add_doubts()
        for table in (*matter.tables, *_behind(matter)):
            self._add_table(table)
        self._add_asides("Rules of thumb", matter.rules)
        self._add_asides("What this rests on", matter.notes)
        self.ids.scroll.scroll_y = 1

    def _add(self, *widgets: Any) -> None:
        for widget in widgets:
            self.ids.lists.add_widget(widget)

    def _add_reasons(self, matter: Matter) -> None:
        if not matter.asked:
            return
        places = count(1)
        for title, reasons in matter.sections:
            self._add(Heading(text=tr(title)))
            self._add(*(ReasonBox.of(next(places), one) for one in reasons))
        if not matter.reasons:
            self._add(Aside(text=tr(NOTHING)))

    def _add_doubts(self) -> None:
        if self.verdict.doubts:
            self._add(Heading(text=tr("What is doubted")))
        for doubt in self.verdict.doubts:
            settle = ACCEPTED if doubt.accepted else doubt.settle
            self._add(Doubt(text=doubt.words), Aside(text=tr(settle)))

    def _add_table(self, table: Table) -> None:
        self._add(Heading(text=tr(table.title)), *map(FigureRow.of, table.figures))

    def _add_asides(self, title: str, notes: tuple[str, ...]) -> None:
        if notes:
            self._add(Heading(text=tr(title)), *(Aside(text=tr(note)) for note in notes))


def _behind(matter: Matter) -> tuple[Table, ...]:
    """The figures behind each cause, in the order the causes are told."""
    told = [one for _, reasons in matter.sections for one in reasons]
    return tuple(Table(f"Behind it: {one.title}", one.evidence) for one in told if one.evidence)


def _stop_and_phone(session: Session, device_id: str) -> str:
    """'Stop 3 · Phone A'."""
    label = next((one.label for one in session.devices if one.id == device_id), "")
    return joined([f"Stop {session.stop.number}" if session.stop else "", label])


load_kv(__file__)
