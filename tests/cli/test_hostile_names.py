"""Names that were brought in from elsewhere: shown, never obeyed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from click.testing import Result

from surveyapp.exchange.archive import Part, write_archive
from surveyapp.exchange.backup import DATABASE, MARK
from surveyapp.model import Site, Stop, Survey
from surveyapp.store.notebook import Notebook

NAME = "\x1b[2J\x1b]52;c;aGk=\x07Mole\x9b31m \u202eelom"
"""Clears a terminal, sets its clipboard, turns it red and its letters round (ECMA-48; Unicode
Annex 9; from memory)."""

Run = Callable[..., Result]


def test_a_terminal_obeys_no_name(run: Run, tmp_path: Path) -> None:
    """A site's name with escape sequences once reached the terminal as it was."""
    path = tmp_path / "street.survey"
    with Notebook.create(path) as notebook:
        (survey,) = notebook.save(Survey(title="Walk"))
        noon = datetime(2026, 5, 4, 12, tzinfo=UTC)
        notebook.save(
            Site(name=NAME, lat_deg=60.0, lon_deg=25.0),
            Stop(survey_id=survey.id, number=1, time_utc=noon, lat_deg=60.001, lon_deg=25.0),
        )
    told = [
        run("fix", "--notebook", path, "--site", "nobody"),
        run("fix", "--notebook", path, "--site", NAME),
        run("report", path, "--out", tmp_path / f"{NAME.replace('/', '')}.html"),
    ]
    seen = "".join(one.stdout + one.stderr for one in told)

    assert "Mole" in seen
    assert not set("\x1b\x07\x9b\u202e") & set(seen)


def test_json_keeps_a_name_whole_and_harmless(run: Run, tmp_path: Path) -> None:
    """With --json the name comes out as it is, written in plain ASCII."""
    leads = tmp_path / "a.csv"
    leads.write_text(f"lat,lon,name\n95,25,{NAME}\n", encoding="utf-8")
    result = run("import", tmp_path / "street.survey", leads, "--json")

    assert result.stdout.isascii()
    assert "\x1b" not in result.stdout
    assert json.loads(result.stdout)["files"][0]["new"] == 0


def test_a_backup_of_no_notebook_is_told_by_its_own_name(run: Run, tmp_path: Path) -> None:
    """The refusal once named a file in a folder that was gone already."""
    backup = tmp_path / "b.zip"
    write_archive(backup, MARK, [Part(DATABASE, [b"no database"], press=True)])
    result = run("restore", backup, tmp_path / "again.survey")

    assert result.exit_code == 2
    assert result.stderr.startswith(str(backup))
    assert [path.name for path in tmp_path.iterdir()] == ["b.zip"]
