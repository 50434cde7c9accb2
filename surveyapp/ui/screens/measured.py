"""What the phones showed against what the notebook expects there, as strips one can compare."""

from __future__ import annotations

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.measured import BY_STOP, DOWN, LEVEL, ORDERS, QUANTITIES, StripItem, strip_items
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets import strip  # noqa: F401
from surveyapp.ui.widgets.row_list import RowList

NOTHING = (
    "No value of this kind can be shown: it needs a reading, or a speed run with its reading, "
    "at a stop that has a position."
)
EVEN = "Band: expected, 1 σ and 2 σ. Mark: measured."
UNEVEN = "Band: expected, from least to most. Mark: measured."
WAITING = "Working out what to expect at every stop."


class StripCard(BoxLayout):
    """A value's title, its strip, and what most likely lies behind it."""

    item = ObjectProperty(None, allownone=True)
    text = StringProperty("")
    detail = StringProperty("")
    strip = ObjectProperty(None, allownone=True)
    __events__ = ("on_open",)

    def on_open(self) -> None:
        """Event: the title was tapped."""


class StripList(RowList):
    """Cards of strips; dispatches `on_row(item)`."""

    def made_row(self) -> StripCard:
        """A card."""
        card = StripCard()
        card.bind(on_open=self._tapped)
        return card

    def write(self, row: StripCard, item: StripItem) -> None:
        """Show a value in a card."""
        row.item, row.text, row.detail, row.strip = item, item.text, item.detail, item.strip


class MeasuredPage(ReviewedPage):
    """The strips of the current survey."""

    items = ListProperty([])
    quantities = ListProperty(QUANTITIES)
    orders = ListProperty(ORDERS)
    quantity = StringProperty(LEVEL)
    order = StringProperty(BY_STOP)
    nothing = StringProperty("")
    legend = StringProperty("")

    def refresh(self) -> None:
        """Show the last review; a newer one comes by itself."""
        review = self.review()
        self.items = strip_items(review, self.quantity, self.order)
        self.legend = UNEVEN if self.quantity == DOWN else EVEN
        waiting = NOTHING if review else self.session.reviewer.problem or WAITING
        self.nothing = "" if self.items else waiting

    def show_quantity(self, value: str) -> None:
        """Levels, downloads or pings."""
        self.quantity = value
        self.refresh()

    def show_order(self, value: str) -> None:
        """Stop by stop, or the farthest off first."""
        self.order = value
        self.refresh()

    def open_row(self, item: StripItem) -> None:
        """The sheet of the reading or run."""
        self.router.open_entry(item.sheet, item.row_id)


load_kv(__file__)
