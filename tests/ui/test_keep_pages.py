"""Keeping and exchanging by touch: backup and check, a file in with a bad row, a survey out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from surveyapp.model import Site
from surveyapp.ui.keeping import DAILY_KEPT, DAILY_ON
from tests.ui import harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch
from tests.ui.test_keeping import LEADS


def until(pilot: Pilot, words: str) -> None:
    """Wait until the work in the background has said so."""
    harness.until(lambda: pilot.says(words))


def test_the_notebook_is_checked(full: Pilot) -> None:
    """One touch; the page says that all is whole."""
    touch("Keep", "Check it")(full)
    until(full, "are whole.")


def test_a_backup_is_made_and_taken_back(full: Pilot, tmp_path: Path) -> None:
    """Made by one touch, listed with its day; taken back, the site added since is gone from the
    list of sites, and what was here before is a backup too."""
    touch("Backups", "Back it up")(full)
    until(full, "Written with 1 picture")
    (made,) = (tmp_path / "backups").iterdir()
    full.session.save(Site(name="Later"))
    touch("Wednesday 10 June 2026", "Put it in this notebook's place")(full)
    until(full, "Taken back with")
    sites = [site.name for site in full.session.sites]

    assert "Later" not in sites
    assert {one.name for one in (tmp_path / "backups").iterdir()} - {made.name} == {
        made.name.replace(".backup", " before restoring.backup")
    }


def test_the_backups_by_themselves_are_set_by_touch(full: Pilot) -> None:
    """Off, on again, and how many are kept."""
    touch("Backups", "No")(full)
    assert full.session.notebook.setting(DAILY_ON) is False
    touch("One each day", "Keep 7")(full)

    assert full.session.notebook.setting(DAILY_ON) is True
    assert full.session.notebook.setting(DAILY_KEPT) == 7


def test_a_file_is_brought_in_after_its_bad_row_was_shown(full: Pilot, tmp_path: Path) -> None:
    """The list comes before anything is kept; Undo takes the two good ones back."""
    (tmp_path / "leads.csv").write_text(LEADS, encoding="utf-8")
    full.session.notebook.keep_setting("last_folder", str(tmp_path))
    touch("Bring in and", "Choose a file", "leads.csv")(full)
    until(full, "2 leads can come in, 1 lead cannot.")
    assert full.says("line 3")
    assert full.session.notebook.count(Site) == 2
    full.touch("Bring the good rows in")
    assert full.session.notebook.count(Site) == 4
    full.touch("Undo")

    assert full.session.notebook.count(Site) == 2


def test_a_survey_goes_out_with_what_was_ticked_hidden(full: Pilot, tmp_path: Path) -> None:
    """Phones are let out after a touch, all else stays hidden by default."""
    touch("Bring in and", "GeoJSON", "Phones", "Send it out")(full)
    until(full, "Written with")
    (sent,) = (tmp_path / "sent").iterdir()
    text = sent.read_text(encoding="utf-8")

    assert full.says("times were cut to the hour")
    assert not full.says("phones were renamed")
    assert '"Phone B"' in text
    assert "09:40" not in text


def test_a_copy_with_hidden_values_says_so_on_its_page(full: Pilot) -> None:
    """Whoever opens a survey sees that its places or phones are not as they were noted."""
    survey = full.session.survey
    full.session.save(replace(survey, hidden="exact stops, phones"))
    full.router.push("survey", survey_id=survey.id)
    harness.frames(6)

    assert full.says("A copy: hidden in it are exact stops, phones.")
