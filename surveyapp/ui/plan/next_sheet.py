"""The sheet of questions about where to go next: three about stands, one about the leads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kivy.properties import ListProperty, ObjectProperty

from surveyapp.analysis.leads import open_leads
from surveyapp.model import Sighting, Site, SiteKind, SiteStatus
from surveyapp.ui.plan.cards import from_stop_text
from surveyapp.ui.sheets.sheet import Sheet
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401
from surveyapp.ui.words import counted


@dataclass(frozen=True, slots=True)
class AskRow:
    """Something to ask, as a row."""

    row_id: str
    icon: str
    text: str
    detail: str = ""
    site: Site | None = None
    leads: bool = False
    inside: bool = False


class NextSheet(Sheet):
    """Where to go next: a tap on a row asks it."""

    asking = ObjectProperty()
    choose_street = ObjectProperty()
    items = ListProperty([])

    def on_kv_post(self, *_: Any) -> None:
        """Offer what can be asked of this notebook."""
        self.title = "Where to next"
        sites = self._to_sight()
        leads = open_leads(self.session.sites)
        stop = self.session.stop
        settle = "Which place tells the sectors at this stop apart"
        unsighted = [site for site in sites if not self._sightings(site)]
        self.items = [
            *(self._fix_row(site) for site in unsighted),
            AskRow("settle", "question", settle, f"Stop {stop.number}" if stop else "No stop yet"),
            AskRow(
                "sectors", "sector", "Sectors nobody stood in yet", "Up to three, nearest first"
            ),
            AskRow(
                "street", "measure", "Gaps in the cover along a street", "Tap it or type its name"
            ),
            *(self._fix_row(site) for site in sites if site not in unsighted),
            AskRow("walk", "measure", "Walk to the leads", counted(len(leads), "lead") + " open"),
            *(
                AskRow("lead", "site", lead.name, self._far(lead), lead, inside=True)
                for lead in leads
            ),
        ]

    def ask(self, row: AskRow) -> None:
        """Ask it; a lead opens the sheet that ticks it off."""
        self.close()
        if row.row_id == "settle":
            self.asking.what_would_settle(self.session.need_stop())
        elif row.row_id == "sectors":
            self.asking.sectors_left()
        elif row.row_id == "street":
            self.choose_street()
        elif row.row_id == "walk":
            self.asking.walk()
        elif row.row_id == "fix":
            self.asking.where_to_sight(row.site)
        else:
            from surveyapp.ui.plan.tick_sheet import TickSheet

            self.router.open(TickSheet(session=self.session, router=self.router, lead=row.site))

    def _to_sight(self) -> list[Site]:
        """Sites that stand somewhere, landmarks and what was taken down left out."""
        return [
            site
            for site in self.session.sites
            if self._sightings(site)
            or (
                site.lat_deg is not None
                and site.kind is not SiteKind.LANDMARK
                and site.status not in (SiteStatus.LEAD, SiteStatus.GONE)
            )
        ]

    def _sightings(self, site: Site) -> int:
        return self.session.notebook.count(Sighting, site_id=site.id)

    def _fix_row(self, site: Site) -> AskRow:
        sightings = self._sightings(site)
        text = f"Where to sight {site.name} from"
        told = f"To shrink its fix of {counted(sightings, 'sighting')}"
        return AskRow("fix", "locate", text, told if sightings else "Nobody sighted it yet", site)

    def _far(self, lead: Site) -> str:
        if lead.lat_deg is None or lead.lon_deg is None:
            return "No place yet"
        return from_stop_text(lead.lat_deg, lead.lon_deg, self.session.stop) or "Tap to tick it off"


load_kv(__file__)
