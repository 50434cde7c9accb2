"""Whether one phone, server, visit or hour beats another: pairs, sentence, what was left out."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, NumericProperty, StringProperty

from surveyapp.analysis.compare_words import figure
from surveyapp.analysis.runs import Quantity
from surveyapp.model import Survey
from surveyapp.ui.background import Background
from surveyapp.ui.compared import (
    PHONES,
    QUANTITIES,
    SERVERS,
    SIDES,
    VISITS,
    ComparedView,
    compared,
    phone_pairs,
    server_pairs,
    view_of,
)
from surveyapp.ui.compared_hours import (
    HOURS,
    RunsByHour,
    hour_pairs,
    hours_compared,
    runs_by_hour,
)
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.review import Review, Reviewer
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.speech import tr
from surveyapp.ui.widgets.ratio import RatioLine
from surveyapp.ui.widgets.rows import Doubt
from surveyapp.ui.widgets.text import SoftText
from surveyapp.wording import zone_of

WAITING = "Asking of every stop which sector served: only runs on the same one are compared."
LACKING = {
    PHONES: "This survey has speed runs of fewer than two phones, so there is nothing to compare.",
    SERVERS: "This survey has speed runs against fewer than two servers, so there is nothing to "
    "compare: repeat a run at the same stop against another.",
    VISITS: "The notebook holds one survey only: come back another day.",
    HOURS: "All speed runs were made in one part of the day: repeat some at the same stops in "
    "another, before 10, from 10 to 14, to 18 or to 23.",
}
MOST_VISITS = 8


class ComparePage(ReviewedPage):
    """Comparisons of the current survey's speed runs."""

    sides = ListProperty(SIDES)
    quantities = ListProperty(QUANTITIES)
    pairs = ListProperty([])
    side = StringProperty(PHONES)
    quantity = StringProperty(Quantity.DOWN.value)
    pair = StringProperty("")
    sentence = StringProperty("")
    scale = StringProperty("")
    reach = NumericProperty(2)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._earlier = Reviewer(self.session.notebook)
        self._hours: Background[RunsByHour] = Background(self.session.notebook, runs_by_hour)
        self._shown: object = None

    def on_pre_enter(self, *_: Any) -> None:
        """Follow the looks through other surveys too."""
        super().on_pre_enter()
        for look in (self._earlier, self._hours):
            look.done.bind(self._soon)

    def on_leave(self, *_: Any) -> None:
        """Follow them no longer."""
        super().on_leave()
        for look in (self._earlier, self._hours):
            look.done.unbind(self._soon)

    def rest(self) -> None:
        """The notebook is about to be closed."""
        for look in (self._earlier, self._hours):
            look.rest()
            look.done.unbind(self._soon)
        super().rest()

    def refresh(self) -> None:
        """Compare what is chosen, as soon as the survey has been looked through."""
        if self.side == HOURS:
            self._show(self._hours_view())
            return
        review = self.review()
        if review is None:
            self._show(ComparedView(self.session.reviewer.problem or WAITING))
            return
        if not self._offer(self._choices(review)):
            self._show(ComparedView(LACKING[self.side]))
            return
        earlier = self._visit() if self.side == VISITS else None
        if self.side == VISITS and earlier is None:
            self._show(ComparedView(self._earlier.problem or WAITING))
            return
        found = compared(review, self.side, self.pair, Quantity(self.quantity), earlier)
        self._show(view_of(found, self.session.survey.title))

    def _offer(self, pairs: list[Choice]) -> bool:
        """Show these pairs, the first one chosen where none is; whether there are any."""
        self.pairs = pairs
        values = [choice.value for choice in pairs]
        if self.pair not in values:
            self.pair = values[0] if values else ""
        return bool(values)

    def _hours_view(self) -> ComparedView:
        """Two parts of the day over the newest surveys."""
        self._hours.ask(HOURS)
        looked, survey = self._hours.of(HOURS), self.session.survey
        if looked is None:
            self._offer([])
            return ComparedView(self._hours.problem or WAITING)
        zone = zone_of(survey.time_zone if survey else "UTC")
        if not self._offer(hour_pairs(looked.scenes, zone)):
            return ComparedView(LACKING[HOURS])
        return view_of(hours_compared(looked, self.pair, zone, Quantity(self.quantity)))

    def _choices(self, review: Review) -> list[Choice]:
        if self.side == VISITS:
            surveys = self.session.notebook.newest(Survey, MOST_VISITS)
            others = [one for one in surveys if one.id != self.session.survey.id]
            return [Choice(value=one.id, label=f"Against {one.title}") for one in others]
        return (phone_pairs if self.side == PHONES else server_pairs)(review.scenes)

    def _visit(self) -> Review | None:
        self._earlier.ask(self.pair)
        return self._earlier.of(self.pair)

    def _show(self, view: ComparedView) -> None:
        """Build the lines of a comparison, where they are other ones."""
        if view == self._shown:
            return
        self._shown = view
        self.sentence, self.reach = view.sentence, view.reach
        ends = figure(1 / view.reach), figure(view.reach)
        self.scale = f"Scale of ratios: {ends[0]} to {ends[1]}, alike at the stroke." * bool(
            view.rows
        )
        lines = self.ids.lines
        lines.clear_widgets()
        for row in view.rows:
            line = RatioLine(reach=view.reach)
            line.row = row
            lines.add_widget(line)
        for doubt in view.doubts:
            lines.add_widget(Doubt(text=doubt, padding=(16, 0)))
        for note in view.notes:
            lines.add_widget(SoftText(text=tr(note), padding=(16, 2)))

    def show_side(self, value: str) -> None:
        """Phones, servers, visits or hours."""
        self.side = value
        self.refresh()

    def show_pair(self, value: str) -> None:
        """Which two."""
        self.pair = value
        self.refresh()

    def show_quantity(self, value: str) -> None:
        """Download, upload or ping."""
        self.quantity = value
        self.refresh()


load_kv(__file__)
