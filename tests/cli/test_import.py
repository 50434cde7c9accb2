"""`surveyapp import`: leads, surveys and walks into a notebook, once and only once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from click.testing import Result

from surveyapp.model import Site, SiteStatus, Stop
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook

LEADS = shipped("sample_surveys", "leads.csv")


def rows_of(path: Path) -> list[Site]:
    """All sites of a notebook."""
    with Notebook.open(path) as notebook:
        return notebook.all(Site)


def test_the_same_file_twice_changes_nothing(
    answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """The second time all rows are known: no row differs, and there is nothing to undo."""
    path = tmp_path / "walk.notebook"
    first = answer("import", path, LEADS)["files"][0]
    before = rows_of(path)
    second = answer("import", path, LEADS)["files"][0]
    with Notebook.open(path) as notebook:
        history = len(notebook.history())

    assert (first["new"], first["known"], len(first["problems"])) == (3, 0, 1)
    assert (second["new"], second["known"]) == (0, 3)
    assert rows_of(path) == before
    assert history == 1


def test_what_the_surveyor_found_stays(
    answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """A lead ticked off as live is not turned back by the file it came from."""
    path = tmp_path / "walk.notebook"
    answer("import", path, LEADS)
    with Notebook.open(path) as notebook:
        found = notebook.all(Site)[0]
        notebook.save(replace(found, status=SiteStatus.LIVE, text="two panels"))
    answer("import", path, LEADS)

    assert next(site for site in rows_of(path) if site.id == found.id).status is SiteStatus.LIVE


def test_one_undo_takes_a_file_back_and_it_can_come_again(
    answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """A file is one action; after undo the same file brings its leads again."""
    path = tmp_path / "walk.notebook"
    answer("import", path, LEADS)
    with Notebook.open(path) as notebook:
        assert notebook.undo() == "leads of leads.csv"
        assert notebook.all(Site) == []

    assert answer("import", path, LEADS)["files"][0]["new"] == 3
    assert len(rows_of(path)) == 3


def test_one_bad_file_leaves_nothing_half_done(run: Callable[..., Result], tmp_path: Path) -> None:
    """Of two files the second cannot be read: one sentence, code 2, and no notebook is made."""
    bad = tmp_path / "bad.gpx"
    bad.write_text("<gpx>", encoding="utf-8")
    result = run("import", tmp_path / "walk.notebook", LEADS, bad)

    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert not (tmp_path / "walk.notebook").exists()


def test_a_whole_survey_is_not_taken_for_leads(
    answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """A table of stops has positions too; it is known by its own first column."""
    table = tmp_path / "survey.csv"
    table.write_text("row,id,lat_deg,lon_deg\nstop,1,60.1,24.9\n", encoding="utf-8")
    told = answer("import", tmp_path / "walk.notebook", table)["files"][0]

    assert (told["new"], len(told["problems"])) == (0, 1)
    assert told["problems"][0].startswith("line 2: survey_id is missing")
    assert rows_of(tmp_path / "walk.notebook") == []


def test_a_survey_comes_in_once_and_the_newer_state_stands(
    run: Callable[..., Result], answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """A bundle brings all its rows; again, nothing; edited here since, the edit stands."""
    source, target, out = (tmp_path / name for name in ("a.notebook", "b.notebook", "a.zip"))
    answer("import", source, LEADS)
    run("export", source, "--as", "bundle", "--out", out, "--everything")
    first = answer("import", target, out)["files"][0]
    with Notebook.open(target) as notebook:
        found = notebook.all(Site)[0]
        notebook.save(replace(found, text="seen"))
    again = answer("import", target, out)["files"][0]

    assert (first["new"], first["changed"], first["known"]) == (3, 0, 0)
    assert (again["new"], again["changed"], again["known"]) == (0, 0, 3)
    assert next(site for site in rows_of(target) if site.id == found.id).text == "seen"


def test_all_or_nothing_keeps_nothing_where_a_row_is_wrong(
    run: Callable[..., Result], tmp_path: Path
) -> None:
    """One bad row of one file, and no notebook is made; the row is named with its place."""
    result = run("import", tmp_path / "walk.notebook", LEADS, "--all-or-nothing")

    assert result.exit_code == 2
    assert "line 5" in result.stderr
    assert not (tmp_path / "walk.notebook").exists()


def test_tracks_are_taken_where_asked_for(
    answer: Callable[..., dict[str, Any]], tmp_path: Path
) -> None:
    """The same GPX gives leads from its waypoints, or with --tracks stops from its track."""
    log = Path(__file__).parent.parent / "authorities" / "handheld_track.gpx"
    answer("import", tmp_path / "leads.notebook", log)
    told = answer("import", tmp_path / "walk.notebook", log, "--tracks")["files"][0]
    with Notebook.open(tmp_path / "leads.notebook") as notebook:
        assert notebook.all(Site)
        assert notebook.all(Stop) == []
    with Notebook.open(tmp_path / "walk.notebook") as notebook:
        assert notebook.all(Site) == []
        assert len(notebook.all(Stop)) == told["new"] - 1

    assert "before any 5G phone" in told["notes"][0]


def test_all_or_nothing_holds_for_what_the_notebook_refuses_too(
    run: Callable[..., Result], tmp_path: Path
) -> None:
    """A reading whose stop is in no file: once the rows beside it came in all the same."""
    path, file = tmp_path / "walk.notebook", tmp_path / "rows.csv"
    file.write_text(
        "row,id,title,stop_id,device_id,time_utc\nsurvey,s,Walk,,,\n"
        "reading,r,,nowhere,nobody,2026-05-04T12:00:00Z\n"
    )
    result = run("import", path, file, "--all-or-nothing")

    assert result.exit_code == 2
    assert "nowhere is not in the notebook" in result.stderr
    assert not path.exists()
    assert run("import", path, file).exit_code == 0
