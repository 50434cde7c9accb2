"""A section of the Book as a page of its own, for a phone."""

from __future__ import annotations

from typing import Any

from surveyapp.ui.book.section import Section, made_section
from surveyapp.ui.screens.page import Page, load_kv


class SectionPage(Page):
    """Shows the section named by its parameter `section`."""

    def __init__(self, **kwargs: Any) -> None:
        self._shown: Section | None = None
        self._name = ""
        super().__init__(**kwargs)

    def refresh(self) -> None:
        """Make the section where it is another one, and let it read the session."""
        name = self.parameters["section"]
        if name != self._name:
            if self._shown is not None:
                self._shown.rest()
            self._name, self._shown = name, made_section(name, self.session, self.router)
            self._shown.back = "Back"
            self.clear_widgets()
            self.add_widget(self._shown)
        self._shown.about = self.parameters.get("survey_id", "")
        self._shown.refresh()

    def rest(self) -> None:
        """The notebook is about to be closed."""
        super().rest()
        if self._shown is not None:
            self._shown.rest()


load_kv(__file__)
