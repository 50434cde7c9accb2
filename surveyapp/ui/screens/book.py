"""The Book place: the table of contents, and on a desk the section that was chosen beside it."""

from __future__ import annotations

from typing import Any

from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.book.rows import BookRow, contents
from surveyapp.ui.book.section import Section, made_section
from surveyapp.ui.screens.page import Page, load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401

CAUTIONS, FIRST_RUN = "cautions", "first_run"


class BookPage(Page):
    """Surveys, sites, phones, ground, settings, cautions."""

    items = ListProperty([])
    chosen = StringProperty("surveys")

    def __init__(self, **kwargs: Any) -> None:
        self._section: Section | None = None
        self._name = ""
        super().__init__(**kwargs)
        self.bind(wide=lambda *_: self._soon())

    def refresh(self) -> None:
        """Count again; on a desk show the chosen section too."""
        self.items = contents(self.session, self.chosen if self.wide else "")
        self._show_beside()
        if self._section is not None:
            self._section.refresh()

    def open_row(self, item: BookRow) -> None:
        """A section: beside the contents on a desk, as a page on a phone."""
        if item.row_id == CAUTIONS:
            self.router.push(CAUTIONS)
        elif item.row_id == FIRST_RUN:
            self.router.push(FIRST_RUN, again="yes")
        elif self.wide:
            self.chosen = item.row_id
            self._soon()
        else:
            self.router.push("section", section=item.row_id)

    def _show_beside(self) -> None:
        wanted = self.chosen if self.wide else ""
        if wanted != self._name:
            self._name = wanted
            self.ids.beside.clear_widgets()
            self._let_go()
            self._section = made_section(wanted, self.session, self.router) if wanted else None
            if self._section is not None:
                self.ids.beside.add_widget(self._section)

    def rest(self) -> None:
        """The notebook is about to be closed."""
        super().rest()
        self._let_go()

    def _let_go(self) -> None:
        if self._section is not None:
            self._section.rest()


load_kv(__file__)
