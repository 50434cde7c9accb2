"""What there is to look at and to put right in the day as a whole, each a page of its own."""

from __future__ import annotations

from kivy.properties import ListProperty, StringProperty

from surveyapp.ui.book.rows import BookRow
from surveyapp.ui.day_doubts import gathered, open_count
from surveyapp.ui.day_list import scenes_of
from surveyapp.ui.expected_now import ACCEPTED
from surveyapp.ui.reviewed_page import ReviewedPage
from surveyapp.ui.screens.page import load_kv
from surveyapp.ui.widgets import row_list  # noqa: F401

CLOCK, TRACK, REPORT = "clock", "track", "report"
PAGES = (
    BookRow(
        "reading", "Measured against expected", "Levels, downloads and pings as strips", "measured"
    ),
    BookRow(
        "speed_run", "Compared", "Phones, servers, visits and hours, with their evidence", "compare"
    ),
    BookRow(
        "edit", "Put entries in order", "Move to another stop, split a stop, join two", "arrange"
    ),
    BookRow("photo", "Photos sorted in", "A folder of pictures, each to its stop", "photos"),
    BookRow("bring_in", "Stops from a track", "A GPX or NMEA file: where you stood still", TRACK),
    BookRow("text", "Report", "A survey as one page to read and print", REPORT),
    BookRow("device", "Set a clock right", "Shift all that one phone noted", CLOCK),
)


class ReviewPage(ReviewedPage):
    """The pages about the current survey."""

    title = StringProperty("")
    items = ListProperty([])

    def refresh(self) -> None:
        """Count the doubts again."""
        survey, notebook = self.session.survey, self.session.notebook
        scenes = scenes_of(notebook, survey) if survey else []
        doubts = gathered(scenes, self.review())
        still = open_count(doubts, notebook.setting(ACCEPTED, []))
        self.title = survey.title if survey else "No survey yet"
        told = f"{still} open, {len(doubts) - still} kept as noted"
        told += ", still looking" if self.looking() else ""
        self.items = [BookRow("warn", "Doubts", told, "doubts"), *PAGES]

    def open_row(self, item: BookRow) -> None:
        """The page or sheet of this row."""
        if item.row_id == CLOCK:
            self.router.open_entry(CLOCK)
        elif item.row_id == TRACK:
            self.router.push("section", section="exchange")
        elif item.row_id == REPORT:
            survey = self.session.survey
            self.router.push("section", section=REPORT, survey_id=survey.id if survey else "")
        else:
            self.router.push(item.row_id)


load_kv(__file__)
