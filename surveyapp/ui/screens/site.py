"""The page of a site: what is known of it, its panels, what its sightings and visits tell."""

from __future__ import annotations

from typing import Any

from kivy.clock import Clock
from kivy.properties import ListProperty, StringProperty

from surveyapp.errors import NotFound
from surveyapp.model import Site
from surveyapp.ui.asking_place import known_name, place_of
from surveyapp.ui.background import Background
from surveyapp.ui.book.rows import BookRow, sector_rows, site_facts
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.site_story import history_of, sighted, visit_words
from surveyapp.ui.stop_actions import ask_for_place
from surveyapp.ui.widgets import row_list  # noqa: F401

ASK_AFTER_S = 0.3  # the page is drawn first
ASK = Choice(value="place", label="Name of the place", icon="search")
WAITING = "Looking through the surveys."
NOT_MET = "No survey has sighted it yet, and it served no reading."


class SitePage(Page):
    """The site named by the parameter `site_id`."""

    title = StringProperty("")
    facts = StringProperty("")
    asks = ListProperty([])
    items = ListProperty([])
    seen = StringProperty("")
    offers = ListProperty([])
    visits = StringProperty("")
    check = StringProperty("")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self._history = Background(self.session.notebook, history_of)
        self._ask_soon = Clock.create_trigger(lambda _: self._ask(), ASK_AFTER_S)
        self._offered: dict[str, Any] = {}

    def on_pre_enter(self, *_: Any) -> None:
        """Follow the look through the surveys too."""
        super().on_pre_enter()
        self._history.done.bind(self._soon)

    def on_leave(self, *_: Any) -> None:
        """Follow it no longer."""
        super().on_leave()
        self._let_go()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        self._history.rest()
        self._let_go()
        super().rest()

    def refresh(self) -> None:
        """Read the site; where it was deleted there is nothing to stay for."""
        notebook = self.session.notebook
        try:
            site = notebook.get(Site, self.parameters["site_id"])
        except NotFound:
            self.router.back()
            return
        self.title = site.name
        self.facts = "\n".join([*site_facts(site), known_name(notebook, site)]).strip()
        wanted = place_of(site) is not None and not known_name(notebook, site)
        self.asks = [ASK] if wanted else []
        self.items = sector_rows(notebook, site)
        told = sighted(notebook, site)
        self.seen = "\n".join(told.words)
        self._offered = {offer.choice.value: offer for offer in told.offers}
        self.offers = [offer.choice for offer in told.offers]
        self._show_history()

    def _show_history(self) -> None:
        """The last look through the surveys; a newer one comes by itself."""
        self._ask_soon()
        history = self._history.of(self.parameters["site_id"])
        if history is None:
            self.visits, self.check = self._history.problem or WAITING, ""
            return
        self.visits = "\n".join(visit_words(history)) or NOT_MET
        self.check = "\n".join(history.check_next)

    def _ask(self) -> None:
        self._history.ask(self.parameters["site_id"])

    def _let_go(self) -> None:
        self._history.done.unbind(self._soon)
        self._ask_soon.cancel()

    def take(self, value: str) -> None:
        """Take a place or an azimuth over from the sightings; Undo gives the old one back."""
        offer = self._offered[value]
        if self.session.attempt(lambda: self.session.save(offer.row, what=offer.what)):
            self.session.said.fire(f"Taken over: {offer.what}.", True)

    def ask_for_place(self) -> None:
        """The sheet that asks for the name of its place."""
        site = self.session.notebook.get(Site, self.parameters["site_id"])
        ask_for_place(self.session, self.router, site)

    def change(self) -> None:
        """The sheet of the site."""
        self.router.open_entry("site", self.parameters["site_id"])

    def add_panel(self) -> None:
        """A new panel of this site, also where a half-typed one was meant for another."""
        sheet = self.router.open_entry("sector", site_id=self.parameters["site_id"])
        sheet.state.texts["site_id"] = self.parameters["site_id"]
        sheet.state.refresh()
        sheet.show()

    def open_row(self, item: BookRow) -> None:
        """The sheet of a panel."""
        self.router.open_entry("sector", item.row_id)


load_kv(__file__)
