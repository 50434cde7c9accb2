"""The sheet where a panel and the level that counts as covered are chosen."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, NumericProperty, ObjectProperty, StringProperty

from surveyapp.model import Site
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv
from surveyapp.ui.words import degrees, number

STEP_DB = 5.0


class CoverSheet(Sheet):
    """Asks for the cover of one of a site's panels."""

    site: Site = ObjectProperty()
    sectors = ListProperty([])
    asking = ObjectProperty()
    options = ListProperty([])
    threshold_dbm = NumericProperty(0)
    threshold_text = StringProperty("")

    def on_kv_post(self, *_: Any) -> None:
        """Offer the panels."""
        self.title = f"Cover of {self.site.name}"
        self.options = [
            Choice(
                value=sector.id,
                label=f"Panel {sector.label} {degrees(sector.azimuth_deg)}".replace("  ", " "),
                icon="sector",
            )
            for sector in self.sectors
        ]
        self.threshold_dbm = self.asking.threshold_dbm

    def on_threshold_dbm(self, *_: Any) -> None:
        """Write the level down."""
        self.threshold_text = f"{number(self.threshold_dbm, 0)} dBm"

    def step(self, steps: int) -> None:
        """A higher or a lower level."""
        self.threshold_dbm += steps * STEP_DB

    def take(self, sector_id: str) -> None:
        """Ask for this panel."""
        self.asking.keep_threshold(self.threshold_dbm)
        self.close()
        sector = next(sector for sector in self.sectors if sector.id == sector_id)
        self.asking.cover(self.site, sector)


load_kv(__file__)
