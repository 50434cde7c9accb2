"""The page of a site: what is known of it, its panels, and where it is sighted from."""

from __future__ import annotations

from kivy.properties import ListProperty, StringProperty

from surveyapp.errors import NotFound
from surveyapp.model import Site
from surveyapp.ui.book.rows import BookRow, sector_rows, site_facts
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401


class SitePage(Page):
    """The site named by the parameter `site_id`."""

    title = StringProperty("")
    facts = StringProperty("")
    items = ListProperty([])

    def refresh(self) -> None:
        """Read the site; where it was deleted there is nothing to stay for."""
        notebook = self.session.notebook
        try:
            site = notebook.get(Site, self.parameters["site_id"])
        except NotFound:
            self.router.back()
            return
        self.title, self.facts = site.name, "\n".join(site_facts(site))
        self.items = sector_rows(notebook, site)

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
