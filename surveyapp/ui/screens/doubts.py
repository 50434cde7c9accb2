"""Every doubt of the current survey: a tap goes to its entry; settle it, or keep it as noted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from kivy.properties import BooleanProperty, ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.analysis.accepted_doubts import toggled
from surveyapp.ui.day_doubts import (
    ALL,
    DoubtItem,
    capital,
    doubt_items,
    fields_doubted,
    gathered,
    kind_choices,
)
from surveyapp.ui.day_list import scenes_of
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.expected_now import ACCEPTED
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets.row_list import RowList
from surveyapp.ui.words import counted

ACCEPT = [Choice(value="accept", label="Keep as noted", icon="done")]
AGAIN = [Choice(value="again", label="Kept as noted: doubt it again", icon="undo")]
ACCEPT_ALL, AGAIN_ALL = "accept", "again"
MOST_KINDS = 2  # offered at once beside all kinds
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
        self.bulk = bulk_choices(self.kind, self.items)
        reviewer = self.session.reviewer
        fresh = survey is not None and reviewer.is_fresh(survey.id)
        waiting = "" if fresh else f". {reviewer.problem or WAITING}"
        self.summary = f"{open_now} open, {len(self.items) - open_now} kept as noted{waiting}"
        self.nothing = "" if doubts else "Nothing in this survey is doubtful so far."

    def show_kind(self, kind: str) -> None:
        """Only doubts of this kind."""
        self.kind = kind
        self.refresh()

    def open_row(self, item: DoubtItem) -> None:
        """The sheet of the entry, panel or phone it is about."""
        sheet = self.router.open_entry(item.sheet, item.row_id)
        found = [one for one in fields_doubted(item.doubt) if one in sheet.state.names]
        if found:
            sheet.move_to(found[0])

    def toggle(self, item: DoubtItem) -> None:
        """Accept a doubt, or doubt it again."""
        self._toggle([item])

    def toggle_all(self, value: str) -> None:
        """Keep all open doubts of a kind as noted, or doubt all of it that are kept again."""
        what, _, kind = value.partition(" ")
        self._toggle([
            item
            for item in self.items
            if item.accepted == (what == AGAIN_ALL) and item.doubt.kind == kind
        ])  # fmt: skip

    def _toggle(self, items: Sequence[DoubtItem]) -> None:
        notebook = self.session.notebook
        kept: Any = notebook.setting(ACCEPTED, [])
        for item in items:
            kept = toggled(item.doubt, kept)
        again = bool(items) and items[0].accepted
        what = f"{counted(len(items), 'doubt')} {'open again' if again else 'kept as noted'}"
        if self.session.attempt(lambda: self.session.acceptances.keep(kept, what)):
            self.session.changed.fire()
            self.session.said.fire(f"Done: {what}.", True)


def bulk_choices(kind: str, items: Sequence[DoubtItem]) -> list[Choice]:
    """What can be done at once: with the kind shown, or among all kinds with the commonest."""
    still = Counter(item.doubt.kind for item in items if not item.accepted)
    kept = Counter(item.doubt.kind for item in items if item.accepted)
    if kind == ALL:
        return [
            Choice(value=f"{ACCEPT_ALL} {one}", icon="done",
                   label=f"Keep all {count} as noted: {capital(one)}")
            for one, count in still.most_common(MOST_KINDS)
            if count > 1
        ]  # fmt: skip
    accept = Choice(
        value=f"{ACCEPT_ALL} {kind}", label=f"Keep all {still[kind]} as noted", icon="done"
    )
    again = Choice(value=f"{AGAIN_ALL} {kind}", label=f"Doubt all {kept[kind]} again", icon="undo")
    return [accept] * (still[kind] > 1) + [again] * (kept[kind] > 1)


load_kv(__file__)
