"""Backup, check, merge, files in and out, without a window."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.errors import NotebookError
from surveyapp.exchange.backup import unpack_backup
from surveyapp.model import Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.exchanging import (
    bring_in,
    found_words,
    into_survey,
    is_walk,
    out_path,
    read_file,
    request,
    send,
)
from surveyapp.ui.keeping import (
    BESIDE,
    DAILY_ON,
    IN_PLACE,
    backed_up,
    backed_up_daily,
    backup_rows,
    checked,
    merged,
    questions,
    taken_back,
)
from tests.ui import filled

LEADS = "name,lat,lon\nGull Quay,60.167,24.942\nNowhere,160.0,24.9\nTern Pier,60.168,24.943\n"


def go_on(*_: object) -> bool:
    """Nobody asks the work to stop."""
    return False


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A full notebook."""
    return filled.write(tmp_path / "a.notebook")


def test_a_backup_opens_as_the_same_notebook(path: Path, tmp_path: Path) -> None:
    """With its picture, in a dated file; the check of both finds nothing."""
    said = backed_up(path, filled.NOW.isoformat(), go_on)
    out = path.parent / "backups" / "a 2026-06-10 093000.backup.zip"
    assert said == f"Written with 1 picture: {out}"
    folder = tmp_path / "unpacked"
    folder.mkdir()
    copy = unpack_backup(out, folder)

    with Notebook.open(path) as one, Notebook.open(copy) as other:
        assert one.all(Site) == other.all(Site)
        assert other.check() == []
    assert checked(path, "", go_on) == "The notebook and its pictures are whole."


def test_the_days_backup_is_written_where_it_is_wanted(path: Path) -> None:
    """Off by the setting, then on: once a day, and listed among the others."""
    with Notebook.open(path) as notebook:
        notebook.keep_setting(DAILY_ON, False)
        assert backed_up_daily(path, filled.NOW.isoformat(), go_on) == ""
        notebook.keep_setting(DAILY_ON, True)
        said = backed_up_daily(path, filled.NOW.isoformat(), go_on)
        assert said == "Written by itself: a 2026-06-10 093000 daily.backup.zip"
        assert backed_up_daily(path, filled.NOW.isoformat(), go_on) == ""

        assert [(one.text, one.detail) for one in backup_rows(notebook)] == [
            ("Wednesday 10 June 2026, 09:30", "Made by itself · 14 kB")
        ]


def test_a_backup_is_taken_back_in_place_or_beside(path: Path) -> None:
    """In place what was there is kept first; beside, a notebook of its own is made."""
    backed_up(path, filled.NOW.isoformat(), go_on)
    with Notebook.open(path) as notebook:
        notebook.save(Site(name="Later"))
        name = backup_rows(notebook)[0].row_id
        later = "2026-06-11T08:00:00"
        beside = taken_back(path, json.dumps([name, later, BESIDE]), go_on)
        assert "a 2026-06-11 080000.notebook" in beside
        assert notebook.count(Site) == 3
        said = taken_back(path, json.dumps([name, later, IN_PLACE]), go_on)

        assert "a 2026-06-11 080000 before restoring.backup.zip" in said
        assert notebook.count(Site) == 2
        assert [one.detail.partition(" · ")[0] for one in backup_rows(notebook)] == [
            "Before another came", "Made on request",
        ]  # fmt: skip


def test_a_damage_is_told_in_its_sentence(path: Path) -> None:
    """A picture that has gone is named."""
    for picture in path.with_name("a.photos").iterdir():
        picture.unlink()

    assert "whole" not in checked(path, "", go_on)


def test_a_merge_asks_where_both_sides_changed_one_value(path: Path, tmp_path: Path) -> None:
    """The desk and the phone name a site differently: both names are offered, one is chosen."""
    other = tmp_path / "b.notebook"
    shutil.copy(path, other)
    for at, name in ((path, "Mill St 3"), (other, "Mill Street 3, lamp")):
        with Notebook.open(at, clock=lambda: filled.NOW) as notebook:
            site = notebook.all(Site, name="Mill Street 3")[0]
            notebook.save(replace(site, name=name))
    said = merged(path, str(other), go_on)
    assert said.endswith("1 value to choose.")
    with Notebook.open(path) as notebook:
        (asked,) = questions(notebook)
        labels = [choice.label for choice in asked.choices]
        assert set(labels) == {"Mill St 3", "Mill Street 3, lamp"}
        notebook.settle(asked.conflict, asked.value("1"))

        assert notebook.get(Site, site.id).name == labels[1]
        assert questions(notebook) == []


def test_bad_rows_are_listed_and_good_rows_come_in_once(path: Path, tmp_path: Path) -> None:
    """Line 3 is no place on Earth; the same file twice changes nothing; one undo takes all."""
    file = tmp_path / "leads.csv"
    file.write_text(LEADS, encoding="utf-8")
    found = read_file(path, str(file), go_on)
    assert found_words(found) == "leads.csv: 2 leads can come in, 1 lead cannot."
    assert found.problems[0].startswith("line 3")
    with Notebook.open(path) as notebook:
        assert bring_in(notebook, found)[0] == "2 new leads, 0 known already."
        assert bring_in(notebook, found)[0] == "no new leads, 2 known already."
        assert notebook.count(Site) == 4
        notebook.undo()

        assert notebook.count(Site) == 2


def test_what_is_hidden_is_in_no_byte_of_what_is_sent(path: Path) -> None:
    """Phones' names, minutes and stops' digits go; without hiding they are there."""
    with Notebook.open(path) as notebook:
        survey = notebook.all(Survey)[0]
        hide = ["devices", "times", "places", "pictures"]
        closed = out_path(notebook, survey.title, "geojson")
        send(path, request("geojson", [survey.id], hide, [], closed), go_on)
        open_ = out_path(notebook, survey.title, "geojson")
    said = send(path, request("geojson", [survey.id], [], [], open_), go_on)
    texts = [closed.read_text(encoding="utf-8"), open_.read_text(encoding="utf-8")]

    assert [("Phone B\"" in text, "09:40" in text) for text in texts] == [
        (False, False), (True, True),
    ]  # fmt: skip
    assert closed != open_
    assert "nothing was hidden: keep it to yourself" in said
    assert json.loads(texts[0])["type"] == "FeatureCollection"


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("../../etc/passwd", "______etc_passwd.csv"),
        ("C:\\x\0\n\u202ekml.exe", "C__x___kml_exe.csv"),
        ("   ", "survey.csv"),
        ("\U0001d504" * 400, "\U0001d504" * 60 + ".csv"),
    ],
)
def test_a_title_never_becomes_a_path(path: Path, title: str, name: str) -> None:
    """Steps up, drives and turned letters become lines below; a title of 400 letters, whose file
    the disk once refused, is cut."""
    with Notebook.open(path) as notebook:
        out = out_path(notebook, title, "csv")

    assert out.name == name
    assert out.parent == path.parent / "sent"
    out.parent.mkdir(exist_ok=True)
    out.write_bytes(b"")


def test_a_picture_named_out_of_the_notebooks_folder_is_never_sent(path: Path) -> None:
    """A spoilt photo row named '../secret' once let the screen send a file beside the notebook."""
    secret = path.parent / "secret.txt"
    secret.write_text("not a picture", encoding="utf-8")
    with Notebook.open(path) as notebook:
        survey = notebook.all(Survey)[0]
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("UPDATE photo SET file = '../secret.txt'")
        raw.commit()
    out = path.parent / "sent.geojson"

    with pytest.raises(NotebookError, match=r"secret\.txt is missing"):
        send(path, request("geojson", [survey.id], [], [], out), lambda: False)

    assert not out.exists()


def test_a_home_place_is_cut_out_with_all_that_lies_near(path: Path) -> None:
    """Sites, stops and readings stand within 300 m of it, so none goes out."""
    with Notebook.open(path) as notebook:
        survey = notebook.all(Survey)[0]
        out = out_path(notebook, survey.title, "geojson")
    send(path, request("geojson", [survey.id], [], [filled.PLACE_DEG], out), go_on)
    text = out.read_text(encoding="utf-8")

    assert "Harbour side, first visit" in text
    assert "Mill Street" not in text
    assert "rsrp_dbm" not in text


def test_a_walks_halts_become_stops_of_the_open_survey_once(path: Path, tmp_path: Path) -> None:
    """Two halts of two minutes each, 110 m apart, as stops 4 and 5; again nothing is added."""
    points = [
        f'<trkpt lat="{60.17 + 0.001 * at}" lon="24.95"><time>2026-06-10T11:{minute:02d}:00Z</time>'
        "</trkpt>"
        for at, minutes in enumerate(((0, 1, 2), (10, 11, 12)))
        for minute in minutes
    ]
    file = tmp_path / "walk.gpx"
    file.write_text(
        '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="test"><trk><trkseg>'
        + "".join(points)
        + "</trkseg></trk></gpx>",
        encoding="utf-8",
    )
    found = read_file(path, str(file), go_on)
    assert is_walk(found)
    with Notebook.open(path) as notebook:
        survey = notebook.all(Survey)[0]
        for _ in range(2):
            bring_in(notebook, into_survey(found, notebook, survey))
        numbers = [stop.number for stop in notebook.all(Stop, survey_id=survey.id)]

        assert sorted(numbers) == [1, 2, 3, 4, 5]
        assert notebook.count(Survey) == 1
