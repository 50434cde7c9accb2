"""The report made in the app: the same page as the command's, with safe defaults, never unasked."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from surveyapp.model import Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui import reporting
from surveyapp.ui.reporting import make_report, report_request
from surveyapp.ui.sending import HIDEABLE
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch


def test_a_report_is_made_from_the_book_and_opened_only_when_asked(
    full: Pilot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only the command made one: now a touch does, with phones and times hidden, tells where it
    is, and opens it on a second touch; survey page and Review lead there too."""
    opened: list[Path] = []
    monkeypatch.setattr("surveyapp.ui.book.report.browser_there", lambda: True)
    monkeypatch.setattr("surveyapp.ui.book.report.show_page", opened.append)
    monkeypatch.setattr("surveyapp.report.figure_look.has_matplotlib", lambda: False)
    touch("Report", "Make the report")(full)
    harness.until(lambda: full.says("The report is here:"))
    (page,) = (tmp_path / "sent").iterdir()
    assert full.says(str(page))
    assert full.says("phones were renamed")
    assert opened == []
    assert "09:40" not in page.read_text(encoding="utf-8")
    touch("Open it in the browser")(full)
    assert opened == [page]
    full.router.push("survey", survey_id=full.session.survey.id)
    touch("Report")(full)
    harness.frames(6)
    assert full.router.pages[-1][1]["section"] == "report"
    full.router.push("review")
    touch("Report")(full)
    harness.frames(6)
    assert full.says("Make the report")


def test_a_phone_without_matplotlib_gets_the_page_without_the_figures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is whole and says what is lacking; no picture is begun, and stops near home are
    counted as left out."""
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    with Notebook.open(filled.write(tmp_path / "own.notebook")) as notebook:
        survey = notebook.newest(Survey, 1)[0]
        stop = notebook.newest(Stop, 1, survey_id=survey.id)[0]
        homes = [[stop.lat_deg, stop.lon_deg]]
        asked = report_request(survey, HIDEABLE, homes, True, notebook)
    told: list[str] = []

    said = make_report(notebook.path, asked, lambda: False, told.append)

    text = Path(json.loads(asked)["out"]).read_text(encoding="utf-8")
    assert "made where matplotlib is not installed" in text
    assert '<svg class="drawn"' not in text
    assert len(told) == 2
    assert reporting.NO_FIGURES in (said or "")
    assert "stops of it are left out near home." in (said or "")
    assert not list((tmp_path / "sent").glob("*.png"))
