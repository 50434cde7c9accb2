"""The sheet where a street is chosen, to look for gaps in the cover along it."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty

from surveyapp.model import LatLon
from surveyapp.ui.plan import level_pane  # noqa: F401
from surveyapp.ui.plan.answers import Figure
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401

MOST_ROWS = 30


class StreetSheet(Sheet):
    """Lists the streets about a place; typing narrows the list, a tap on a row asks.

    `names` come nearest first; `tap_it()` is called where the street is to be tapped instead.
    """

    asking = ObjectProperty()
    names = ListProperty([])
    near_deg: LatLon = ObjectProperty()
    tap_it = ObjectProperty()
    items = ListProperty([])
    lacking = StringProperty("")

    def on_kv_post(self, *_: Any) -> None:
        """Offer the nearest ones."""
        self.title = "Gaps along a street"
        self.ids.level.start(self.asking.threshold_dbm)
        self.narrow("")

    def narrow(self, typed: str) -> None:
        """Only streets whose name holds what was typed."""
        wanted = typed.strip().casefold()
        found = [name for name in self.names if wanted in name.casefold()]
        self.items = [Figure(name, icon="plan", row_id=name) for name in found[:MOST_ROWS]]
        self.lacking = "" if found else "No street here is called so: tap it on the plan."

    def choose(self, name: str) -> None:
        """Ask for this street, unless what was typed is no level."""
        if self._kept():
            self.close()
            self.asking.gaps_along(name, self.near_deg)

    def tap(self) -> None:
        """The next tap on the plan names the street."""
        if self._kept():
            self.close()
            self.tap_it()

    def rest(self) -> None:
        """Give the keyboard back."""
        self.ids.line.focus = False

    def left(self) -> None:
        """Give the keyboard back, which Kivy would otherwise keep the sheet alive by."""
        self.rest()
        super().left()

    def _kept(self) -> bool:
        if self.ids.level.sentence:
            self.session.say(self.ids.level.sentence)
            return False
        self.asking.keep_threshold(self.ids.level.level_dbm)
        return True


load_kv(__file__)
