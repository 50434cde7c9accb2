"""The entries of a stop as a list, and the five big buttons that add to it."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, Any

from kivy.clock import Clock
from kivy.metrics import dp
from kivy.properties import BooleanProperty, DictProperty, ListProperty, ObjectProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.stacklayout import StackLayout

from surveyapp.ui.theme import load_kv, theme
from surveyapp.ui.widgets.buttons import TallButton
from surveyapp.ui.widgets.rows import EmptyState, ListRow
from surveyapp.ui.widgets.text import Heading  # noqa: F401

if TYPE_CHECKING:
    from surveyapp.ui.widgets.verdict import VerdictBox

MARKED_S = 5.0  # a new row stands out so long; our choice
AT_FIRST = 2  # rows in the page's first frame; the others follow in the next
BUTTONS = (
    ("sighting", "Sighting"),
    ("reading", "Reading"),
    ("speed_run", "Speed run"),
    ("photo", "Photo"),
    ("remark", "Remark"),
)


class EntryList(BoxLayout):
    """Rows for `lines` (EntryLine), below them the `verdicts` on them by the rows' ids.

    `lines` are None until they are known: 'nothing entered yet' is not said before.
    Dispatches `on_entry(line)` when a row is tapped, `on_why(line)` for its verdict, `on_undo`
    where `can_undo` offers to take the last action back.
    """

    lines = ListProperty(None, allownone=True)
    verdicts = DictProperty({})
    can_undo = BooleanProperty(False)
    __events__ = ("on_entry", "on_why", "on_undo")

    def __init__(self, **kwargs: Any) -> None:
        self._rows: list[tuple[Any, ListRow]] = []
        self._boxes: dict[str, VerdictBox] = {}
        super().__init__(**kwargs)
        self.head = EntryHead(owner=self)
        self._unmark_soon = Clock.create_trigger(lambda _: self.mark(()), MARKED_S)
        self._others_soon = Clock.create_trigger(lambda _: self._add_lines(len(self.lines)), 0)
        theme.bind(tr=self.on_lines)

    def on_lines(self, *_: Any) -> None:
        """Build the rows anew, once there is something to say."""
        if self.lines is None:
            return
        first = not self.children
        self.clear_widgets()
        self._rows, self._boxes = [], {}
        self.add_widget(self.head)
        self._add_lines(AT_FIRST if first else len(self.lines))
        self._others_soon()
        if not self.lines:
            self.add_widget(
                EmptyState(
                    title=theme.tr("Nothing entered here yet"),
                    text=theme.tr("Start with a sighting of a node, or with what a phone reports."),
                )
            )

    def _add_lines(self, count: int) -> None:
        """Rows for so many lines more."""
        done = len(self._rows)
        for line in self.lines[done : done + count]:
            row = ListRow(icon=line.sheet, text=line.text, detail=line.detail, value=line.value)
            row.bind(on_release=lambda _row, line=line: self.dispatch("on_entry", line))
            self.add_widget(row)
            self._rows.append((line, row))
            self._judge(line, row)

    def mark(self, row_ids: Collection[str]) -> ListRow | None:
        """Let these rows stand out for a while; the uppermost of them."""
        for line, row in self._rows:
            row.marked = line.row.id in row_ids
        if row_ids:
            self._unmark_soon.cancel()
            self._unmark_soon()
        return next((row for _, row in self._rows if row.marked), None)

    def on_verdicts(self, *_: Any) -> None:
        """Put the verdicts below their rows; the rows stay."""
        for line, row in self._rows:
            self._judge(line, row)

    def _judge(self, line: Any, row: ListRow) -> None:
        verdict = self.verdicts.get(line.row.id)
        box = self._boxes.get(line.row.id)
        if verdict is None or not verdict.matters:
            if box is not None:
                self.remove_widget(self._boxes.pop(line.row.id))
        elif box is not None:
            box.verdict = verdict
        else:
            from surveyapp.ui.widgets.verdict import VerdictBox

            box = VerdictBox(verdict=verdict)
            box.bind(on_release=lambda *_: self.dispatch("on_why", line))
            self._boxes[line.row.id] = box
            self.add_widget(box, index=self.children.index(row))

    def on_entry(self, line: Any) -> None:
        """Event: this entry was tapped."""

    def on_why(self, line: Any) -> None:
        """Event: the verdict on this entry was tapped."""

    def on_undo(self) -> None:
        """Event: the last action is to be taken back."""


class EntryHead(BoxLayout):
    """The heading of the entries, and Undo beside it."""

    crowded = BooleanProperty(False)  # large text: Undo stands below
    owner: EntryList = ObjectProperty(None, allownone=True, rebind=True)

    def on_kv_post(self, *_: Any) -> None:
        """Undo comes and goes with what there is to undo."""
        self._button = self.ids.undo.__self__
        self.owner.bind(can_undo=self.show)
        self.show()

    def show(self, *_: Any) -> None:
        """Offer Undo where something can be taken back."""
        if self.owner.can_undo and self._button.parent is None:
            self.add_widget(self._button)
        elif not self.owner.can_undo:
            self.remove_widget(self._button)


class StopButtons(StackLayout):
    """Sighting, Reading, Speed run, Photo, Remark; dispatches `on_enter(sheet)`.

    Three and two to a row; two to a row, and no icons, where the text is large; five where
    there is room. With `beside_page` they are as wide as their words.
    """

    beside_page = BooleanProperty(False)
    large_text = BooleanProperty(False)
    wide = BooleanProperty(False)
    __events__ = ("on_enter",)

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        share_soon = Clock.create_trigger(self.share_out, -1)
        for sheet, word in BUTTONS:
            button = TallButton(text=word, icon=sheet)
            button.sheet = sheet
            button.bind(on_release=lambda tapped, *_: self.dispatch("on_enter", tapped.sheet))
            button.bind(word_width=share_soon)
            self.add_widget(button)
        for cause in ("beside_page", "width", "large_text", "wide"):
            self.fbind(cause, self.share_out)

    def share_out(self, *_: Any) -> None:
        """Give each button its share of the width."""
        if self.beside_page:
            widest = max(button.word_width for button in self.children)
            self.width = 2 * (widest + dp(28)) + self.spacing[0] + 2 * self.padding[0]
        rows = (5,) * 5 if self.wide else (2, 2, 2, 2, 1) if self.large_text else (3, 3, 3, 2, 2)
        inner = self.width - self.padding[0] - self.padding[2]
        for button, beside in zip(reversed(self.children), rows, strict=True):
            button.size_hint_x = None
            button.icon = "" if self.large_text else button.sheet
            button.width = int((inner - self.spacing[0] * (beside - 1)) / beside)

    def on_enter(self, sheet: str) -> None:
        """Event: the button of this sheet was tapped."""


load_kv(__file__)
