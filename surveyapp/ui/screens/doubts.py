"""Every doubt of the current survey: a tap goes to its entry; settle it there, or accept it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.analysis.accepted_doubts import toggled
from surveyapp.ui.day_doubts import ALL, DoubtItem, doubt_items, gathered, kind_choices
from surveyapp.ui.day_list import scenes_of
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.expected_now import ACCEPTED
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets.row_list import RowList

ACCEPT = [Choice(value="accept", label="Accept it", icon="done")]
AGAIN = [Choice(value="again", label="Accepted: doubt it again", icon="undo")]
ACCEPT_ALL, AGAIN_ALL = "accept", "again"
WAITING = "Still asking of every stop which sector served."


class DoubtCard(BoxLayout):
    """A doubt: the row that leads to its entry, and the chip that accepts it."""

    item = ObjectProperty(None, allownone=True)
    icon = StringProperty("warn")
    text = StringProperty("")
    where = StringProperty("")
    settle = StringProperty("")
    accepted = BooleanProperty(False)
    choices = ListProperty([])
    __events__ = ("on_open", "on_toggle")

    def on_open(self) -> None:
        """Event: the doubt itself was tapped."""

    def on_toggle(self) -> None:
        """Event: it was accepted, or doubted again."""


class DoubtList(RowList):
    """Cards for doubts; dispatches `on_row(item)` and `on_toggle(item)`."""

    __events__ = ("on_toggle",)

    def made_row(self) -> DoubtCard:
        """A card."""
        card = DoubtCard()
        card.bind(on_open=self._tapped)
        card.bind(on_toggle=lambda card, *_: self.dispatch("on_toggle", card.item))
        return card

    def write(self, row: DoubtCard, item: DoubtItem) -> None:
        """Show a doubt in a card."""
        row.item, row.text, row.where = item, item.text, item.where
        row.settle = item.doubt.settle
        row.accepted = item.accepted
        row.icon = "done" if item.accepted else "warn"
        row.choices = AGAIN if item.accepted else ACCEPT

    def on_toggle(self, item: DoubtItem) -> None:
        """Event: a doubt was accepted, or doubted again."""


class DoubtsPage(ReviewedPage):
    """The doubts of the current survey."""

    summary = StringProperty("")
    items = ListProperty([])
    kinds = ListProperty([])
    kind = StringProperty(ALL)
    bulk = ListProperty([])
    nothing = StringProperty("")

    def refresh(self) -> None:
        """Gather them again."""
        survey, notebook = self.session.survey, self.session.notebook
        review = self.review()
        scenes = scenes_of(notebook, survey) if survey else []
        doubts = gathered(scenes, review)
        accepted = notebook.setting(ACCEPTED, [])
        self.kinds = kind_choices(doubts, accepted)
        if self.kind not in [choice.value for choice in self.kinds]:
            self.kind = ALL
        self.items = doubt_items(scenes, doubts, accepted, self.kind)
        open_now = sum(not item.accepted for item in self.items)
        self.bulk = bulk_choices(self.kind, open_now, len(self.items) - open_now)
        reviewer = self.session.reviewer
        fresh = survey is not None and reviewer.is_fresh(survey.id)
        waiting = "" if fresh else f". {reviewer.problem or WAITING}"
        self.summary = f"{open_now} open, {len(self.items) - open_now} accepted{waiting}"
        self.nothing = "" if doubts else "Nothing in this survey is doubtful so far."

    def show_kind(self, kind: str) -> None:
        """Only doubts of this kind."""
        self.kind = kind
        self.refresh()

    def open_row(self, item: DoubtItem) -> None:
        """The sheet of the entry, panel or phone it is about."""
        self.router.open_entry(item.sheet, item.row_id)

    def toggle(self, item: DoubtItem) -> None:
        """Accept a doubt, or doubt it again."""
        self._toggle([item])

    def toggle_all(self, value: str) -> None:
        """Accept all open doubts of the kind shown, or doubt all accepted ones again."""
        self._toggle([item for item in self.items if item.accepted == (value == AGAIN_ALL)])

    def _toggle(self, items: Sequence[DoubtItem]) -> None:
        notebook = self.session.notebook
        kept: Any = notebook.setting(ACCEPTED, [])
        for item in items:
            kept = toggled(item.doubt, kept)
        if self.session.attempt(lambda: notebook.keep_setting(ACCEPTED, kept)):
            self.session.changed.fire()


def bulk_choices(kind: str, still_open: int, accepted: int) -> list[Choice]:
    """What can be done with all doubts of one kind at once; with all kinds, nothing."""
    if kind == ALL:
        return []
    accept = Choice(value=ACCEPT_ALL, label=f"Accept all {still_open}", icon="done")
    again = Choice(value=AGAIN_ALL, label=f"Doubt all {accepted} again", icon="undo")
    return [accept] * (still_open > 1) + [again] * (accepted > 1)


load_kv(__file__)
