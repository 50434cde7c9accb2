"""The lists of the Book: surveys, sites, phones."""

from __future__ import annotations

from kivy.properties import StringProperty

from surveyapp.ui.book.rows import BookRow, device_rows, site_rows, survey_rows
from surveyapp.ui.book.section import ListSection


class Surveys(ListSection):
    """All surveys; a tap opens one to go on with it or to change it."""

    title = StringProperty("Surveys")
    action = StringProperty("Add")
    empty_title = StringProperty("No survey yet")
    empty_text = StringProperty(
        "A survey is one outing. The first stop of a day begins one by itself; add one here to "
        "give it a title and the weather beforehand."
    )

    def refresh(self) -> None:
        """Read the surveys."""
        self.items = survey_rows(self.session)

    def acted(self) -> None:
        """A new survey."""
        self.router.open_entry("survey")

    def open_row(self, item: BookRow) -> None:
        """Its page."""
        self.router.push("survey", survey_id=item.row_id)


class Sites(ListSection):
    """All sites; a tap opens one with its panels."""

    title = StringProperty("Sites")
    action = StringProperty("Add")
    empty_title = StringProperty("No site yet")
    empty_text = StringProperty(
        "A site is an installation: a lamp post, a wall or a roof with one or more panels. Add "
        "one here, hold its place on the Plan, or name it in a sighting."
    )

    def refresh(self) -> None:
        """Read the sites."""
        self.items = site_rows(self.session)

    def acted(self) -> None:
        """A new site."""
        self.router.open_entry("site")

    def open_row(self, item: BookRow) -> None:
        """Its page."""
        self.router.push("site", site_id=item.row_id)


class Phones(ListSection):
    """All phones; a tap opens one to change it."""

    title = StringProperty("Phones")
    action = StringProperty("Add")
    empty_title = StringProperty("No phone yet")
    empty_text = StringProperty(
        "Readings and speed runs are told apart by the phone they came from. Add each phone once, "
        "with its modem and system: they matter when two phones are compared."
    )

    def refresh(self) -> None:
        """Read the phones."""
        self.items = device_rows(self.session)

    def acted(self) -> None:
        """A new phone."""
        self.router.open_entry("device")

    def open_row(self, item: BookRow) -> None:
        """Its sheet."""
        self.router.open_entry("device", item.row_id)
