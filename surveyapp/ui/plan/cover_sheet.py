"""The sheet where a panel and the level that counts as covered are chosen."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty

from surveyapp.model import Sector, Site
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.plan import level_pane  # noqa: F401
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv
from surveyapp.ui.words import degrees


class CoverSheet(Sheet):
    """Asks for the cover of one of a site's panels."""

    site: Site = ObjectProperty()
    sectors = ListProperty([])
    asking = ObjectProperty()
    options = ListProperty([])
    lacking = StringProperty("")

    def on_kv_post(self, *_: Any) -> None:
        """Offer the panels."""
        self.title = f"Cover of {self.site.name}"
        self.options = [
            Choice(
                value=sector.id,
                label=_panel_text(sector),
                icon="sector",
            )
            for sector in self.sectors
        ]
        self.lacking = "" if self.sectors else "No panel is noted yet: add one under Book, Sites."
        self.ids.level.start(self.asking.threshold_dbm)

    def take(self, sector_id: str) -> None:
        """Ask for this panel, unless what was typed is no level."""
        if self.ids.level.sentence:
            self.session.say(self.ids.level.sentence)
            return
        self.asking.keep_threshold(self.ids.level.level_dbm)
        self.close()
        sector = next(sector for sector in self.sectors if sector.id == sector_id)
        self.asking.cover(self.site, sector)


def _panel_text(sector: Sector) -> str:
    azimuth = "no azimuth" if sector.azimuth_deg is None else degrees(sector.azimuth_deg)
    return f"Panel {sector.label} {azimuth}".replace("  ", " ")


load_kv(__file__)
