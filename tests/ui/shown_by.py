"""Which scene shows which page, part of the Book, entry sheet and other sheet: all of them."""

from __future__ import annotations

import re
from pathlib import Path

from surveyapp.ui.book.section import SECTIONS
from surveyapp.ui.entries import FORMS
from surveyapp.ui.screens import SCREENS
from surveyapp.ui.sheets.entry_sheet import EntrySheet
from tests.ui.harness import Pilot

UI = Path(__file__).resolve().parent.parent.parent / "surveyapp" / "ui"
_SHEET = re.compile(r"^class (\w+)\(Sheet\):", re.MULTILINE)

SHOWN_BY = {
    "page stop": "stop_full",
    "page plan": "plan",
    "page day": "day",
    "page book": "book",
    "page section": "surveys",
    "page site": "site",
    "page survey": "survey",
    "page review": "review",
    "page doubts": "doubts",
    "page measured": "measured",
    "page arrange": "arrange",
    "page compare": "compare",
    "page photos": "photos",
    "page first_run": "first_run",
    "page cautions": "cautions",
    "section surveys": "surveys",
    "section sites": "sites",
    "section devices": "phones",
    "section ground": "ground",
    "section report": "report",
    "section exchange": "exchange",
    "section keep": "keep",
    "section backups": "backups",
    "section settings": "settings",
    "entry sighting": "sighting_site",
    "entry reading": "reading_new",
    "entry speed_run": "speed_run",
    "entry one_line": "one_line",
    "entry photo": "photo",
    "entry remark": "remark_kind",
    "entry position": "position",
    "entry site": "site_panels",
    "entry sector": "panel_new",
    "entry device": "phone_new",
    "entry survey": "survey_change",
    "entry stop": "day_stop",
    "entry clock": "clock",
    "entry compass_check": "compass_check",
    "entry heading": "heading",
    "sheet TickSheet": "plan_tick",
    "sheet HitsSheet": "plan_list",
    "sheet AnswerSheet": "plan_figures",
    "sheet CoverSheet": "plan_cover_level",
    "sheet StreetSheet": "plan_street",
    "sheet PlaceSheet": "place_name",
    "sheet NextSheet": "plan_next",
    "sheet LayersSheet": "plan_layers",
    "sheet GrammarSheet": "grammar",
    "sheet BeforeRuns": "before_runs",
    "sheet EntrySheet": "sighting_site",
    "sheet FileSheet": "photo_files",
    "sheet WhySheet": "why_level",
}


def all_there_is() -> set[str]:
    """Every page, section, entry sheet and sheet of the sources."""
    sheets = {
        name
        for path in UI.rglob("*.py")
        for name in _SHEET.findall(path.read_text(encoding="utf-8"))
    }
    return {
        *(f"page {name}" for name in SCREENS),
        *(f"section {name}" for name in SECTIONS),
        *(f"entry {name}" for name in FORMS),
        *(f"sheet {name}" for name in sheets),
    }


def on_screen(pilot: Pilot) -> set[str]:
    """What of them is on screen now."""
    name, parameters = pilot.router.pages[-1]
    found = {f"page {name}"}
    if name == "section":
        found.add(f"section {parameters['section']}")
    for sheet in pilot.router.sheets[-1:]:
        found.add(f"sheet {type(sheet).__name__}")
        if isinstance(sheet, EntrySheet):
            found.add(f"entry {sheet.state.form.name}")
    return found
