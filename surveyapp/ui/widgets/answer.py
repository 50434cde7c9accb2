"""The serving answer on the page: a ranking with percentages, reasons, what would settle it."""

from __future__ import annotations

from kivy.properties import ListProperty, NumericProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.answer_words import LegView
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.speech import tr
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import buttons, icon  # noqa: F401
from surveyapp.ui.widgets.rows import EmptyState
from surveyapp.ui.widgets.strip import ExpectationStrip
from surveyapp.ui.widgets.text import Heading, SoftText


class ProbabilityRow(BoxLayout):
    """A sector's name, its percentage in figures, and a bar of that length."""

    text = StringProperty("")
    percent = StringProperty("")
    detail = StringProperty("")
    probability = NumericProperty(0)


class Settle(BoxLayout):
    """The one observation that would settle the question."""

    text = StringProperty("")


class AnswerView(BoxLayout):
    """Shows one leg at a time; chips change between legs where there are several."""

    views = ListProperty([])
    reason = StringProperty("")
    chosen = StringProperty("")

    def show(self, views: list[LegView], reason: str) -> None:
        """Show these legs, or the reason why there is no answer."""
        keys = [view.key for view in views]
        self.views, self.reason = views, reason
        if self.chosen not in keys or keys[:1] != getattr(self, "_newest", None):
            self.chosen = keys[0] if keys else ""
        self._newest = keys[:1]
        self.build()

    def choose(self, key: str) -> None:
        """Another leg was tapped."""
        self.chosen = key
        self.build()

    def build(self) -> None:
        """Build the page's part for the chosen leg."""
        self.clear_widgets()
        view = next((view for view in self.views if view.key == self.chosen), None)
        if view is None and self.reason:
            self.add_widget(EmptyState(title="What serves here?", text=self.reason))
        if view is None:
            return
        self.add_widget(Heading(text=tr(f"What serves here · {view.title}")))
        self._add_ranking(view)
        if len(self.views) > 1:  # below what all came for, which is to be in sight
            self._add_chips()
        self._add_words(view)

    def _add_chips(self) -> None:
        options = [Choice(value=view.key, label=view.title) for view in self.views]
        chips = buttons.Choices(options=options, chosen=self.chosen)
        chips.bind(on_choose=lambda _chips, key: self.choose(key))
        self.add_widget(chips)

    def _add_ranking(self, view: LegView) -> None:
        for line in view.lines:
            row = ProbabilityRow(text=line.name, percent=line.percent, detail=line.detail)
            row.probability = line.probability
            self.add_widget(row)
        if view.strip is not None:
            strip = ExpectationStrip()
            strip.expectation = view.strip
            self.add_widget(strip)

    def _add_words(self, view: LegView) -> None:
        for reason in view.reasons:
            self.add_widget(SoftText(text=tr(reason)))
        if view.settle:
            self.add_widget(Settle(text=view.settle))


load_kv(__file__)
