"""The sheet that ticks a lead off: what was found where it was looked for."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty

from surveyapp.model import Site, SiteStatus
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv

FOUND = (
    Choice(value=SiteStatus.LIVE.value, label="It is on air"),
    Choice(value=SiteStatus.SEEN.value, label="It hangs there, nothing more known"),
    Choice(value=SiteStatus.DARK.value, label="It hangs there and is silent"),
    Choice(value=SiteStatus.GONE.value, label="Nothing hangs there"),
)


class TickSheet(Sheet):
    """Ticks `lead` off by one touch; the message offers to take it back."""

    lead: Site = ObjectProperty()
    asked = StringProperty("")
    options = ListProperty(FOUND)

    def on_lead(self, *_: Any) -> None:
        """Say whose sheet it is, and how far off it is noted."""
        from surveyapp.analysis.leads import AT_M, leads_at

        here = leads_at(self.session.stop, [self.lead]) if self.session.stop else ()
        self.title = self.lead.name
        self.asked = (
            f"You stand {here[0].distance_m:.0f} m from where it is noted. What is there?"
            if here
            else f"You are not within {AT_M:.0f} m of where it is noted. What was found there?"
        )

    def take(self, status: str) -> None:
        """Keep what was found."""
        from surveyapp.analysis.leads import ticked_off

        lead = ticked_off(self.lead, SiteStatus(status))
        self.session.save(lead, what=f"tick of {lead.name}")
        self.close()
        self.session.said.fire(f"Ticked off {lead.name}.", True)


load_kv(__file__)
