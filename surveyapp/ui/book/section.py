"""A section of the Book, and the table of all of them."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from kivy.properties import ListProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from surveyapp.ui.router import Router
from surveyapp.ui.session import Session
from surveyapp.ui.theme import load_kv
from surveyapp.ui.widgets import bars, buttons, row_list, rows  # noqa: F401

SECTIONS = {
    "surveys": "surveyapp.ui.book.lists:Surveys",
    "sites": "surveyapp.ui.book.lists:Sites",
    "devices": "surveyapp.ui.book.lists:Phones",
    "ground": "surveyapp.ui.book.ground:GroundSection",
    "report": "surveyapp.ui.book.report:ReportSection",
    "exchange": "surveyapp.ui.book.exchange:ExchangeSection",
    "keep": "surveyapp.ui.book.keep:KeepSection",
    "backups": "surveyapp.ui.book.backups:BackupsSection",
    "settings": "surveyapp.ui.book.settings:SettingsSection",
}


class Section(BoxLayout):
    """A column with its own heading; `back` is the word of the way back, '' on a desk."""

    session: Session = ObjectProperty()
    router: Router = ObjectProperty()
    title = StringProperty("")
    back = StringProperty("")
    about = StringProperty("")  # the id of the row it was opened for, where it was for one
    action = StringProperty("")
    action_icon = StringProperty("add")

    def refresh(self) -> None:
        """Show what the session says now."""

    def rest(self) -> None:
        """The notebook is about to be closed: let go of what was listened to."""

    def acted(self) -> None:
        """The action of the heading was tapped."""


class ListSection(Section):
    """A list; while it is empty it says `empty_title` and `empty_text`."""

    items = ListProperty([])
    empty_title = StringProperty("")
    empty_text = StringProperty("")

    def on_kv_post(self, *_: Any) -> None:
        """Remember the parts that come and go."""
        self._empty, self._list = self.ids.empty.__self__, self.ids.list.__self__
        self.bind(items=self._arrange)
        self._arrange()

    def _arrange(self, *_: Any) -> None:
        self.ids.room.clear_widgets()
        self.ids.room.add_widget(self._list if self.items else self._empty)

    def open_row(self, item: Any) -> None:
        """A row was tapped."""


def made_section(name: str, session: Session, router: Router) -> Section:
    """The section of this name."""
    module, _, wanted = SECTIONS[name].partition(":")
    section: Section = getattr(import_module(module), wanted)(session=session, router=router)
    return section


load_kv(__file__)
