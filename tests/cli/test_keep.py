"""`surveyapp merge`, `backup` and `restore`."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.keeping import dated, remove_older
from surveyapp.model import Device, Photo, Reading, Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from tests.exchange.survey_contents import picture_with_facts

Answer = Callable[..., dict[str, Any]]
Run = Callable[..., Result]


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """A notebook with a survey, a site and a picture."""
    path = tmp_path / "walk.notebook"
    with Notebook.create(path) as made:
        made.save(Survey(id="survey", title="Walk"), Site(id="site", name="Mole 1"))
        made.add_photo(picture_with_facts(), survey_id="survey")
    return path


def test_a_backup_comes_back_the_same(answer: Answer, notebook: Path, tmp_path: Path) -> None:
    """Out and back while the app has it open: rows, journal and pictures, byte for byte."""
    with Notebook.open(notebook) as opened:
        told = answer("backup", notebook, tmp_path / "b.zip")
        answer("restore", tmp_path / "b.zip", tmp_path / "again.notebook")
        with Notebook.open(tmp_path / "again.notebook") as again:
            assert told["pictures"] == 1
            assert again.rows_of() == opened.rows_of()
            assert again.history() == opened.history()
            name = again.all(Photo)[0].file
            assert (again.photo_folder / name).read_bytes() == picture_with_facts()
            assert again.check() == []


def test_a_damaged_backup_is_not_restored(run: Run, notebook: Path, tmp_path: Path) -> None:
    """One changed byte anywhere, or another kind of zip, and no notebook is made."""
    out, target = tmp_path / "b.zip", tmp_path / "again.notebook"
    run("backup", notebook, out)
    whole = out.read_bytes()
    for place in (200, len(whole) // 3, len(whole) // 2):
        out.write_bytes(whole[:place] + bytes([whole[place] ^ 0x55]) + whole[place + 1 :])
        result = run("restore", out, target)

        assert result.exit_code == 2
        assert not target.exists()
    run("export", notebook, "--as", "bundle", "--out", tmp_path / "bundle.zip")
    assert "survey bundle" in run("restore", tmp_path / "bundle.zip", target).stderr


def test_nothing_is_written_over(run: Run, notebook: Path, tmp_path: Path) -> None:
    """A backup or a notebook that is there stays as it is."""
    out = tmp_path / "b.zip"
    run("backup", notebook, out)
    before = out.read_bytes(), notebook.read_bytes()

    assert run("backup", notebook, out).exit_code == 2
    assert run("restore", out, notebook).exit_code == 2
    assert run("backup", notebook).exit_code == 2
    assert run("backup", notebook, tmp_path / "c.zip", "--keep", "2").exit_code == 2
    assert (out.read_bytes(), notebook.read_bytes()) == before


def test_dated_backups_are_kept_to_a_limit(answer: Answer, notebook: Path, tmp_path: Path) -> None:
    """The newest stay, older ones of this notebook go, and other files are left alone."""
    folder = tmp_path / "backups"
    folder.mkdir()
    old = [dated(notebook, folder, datetime(2026, 5, day)) for day in (1, 2, 3)]
    strange = folder / "walk notes.backup.zip"
    for path in (*old, strange):
        path.write_bytes(b"x")
    told = answer("backup", notebook, "--into", folder, "--keep", "2")

    assert told["removed"] == [str(path) for path in old[:2]]
    assert {path.name for path in folder.iterdir()} == {
        old[2].name, strange.name, Path(told["file"]).name,
    }  # fmt: skip
    assert remove_older(folder, notebook, 2) == []


def test_merging_tells_what_came_and_what_is_to_choose(
    run: Run, answer: Answer, notebook: Path, tmp_path: Path
) -> None:
    """Counts and conflicts are told; the other notebook's rows stay; again brings nothing."""
    other = tmp_path / "other.notebook"
    run("backup", notebook, tmp_path / "b.zip")
    run("restore", tmp_path / "b.zip", other)
    for path, text in ((notebook, "grey"), (other, "green")):
        with Notebook.open(path) as opened:
            opened.save(replace(opened.get(Site, "site"), text=text), Site(name=f"Only {text}"))
    told = answer("merge", notebook, other)
    with Notebook.open(other) as opened:
        left = {site.name for site in opened.all(Site)}

    assert (told["actions"], told["added"], told["changed"]) == (1, 1, 1)
    assert [(one["row"], one["field"], one["values"]) for one in told["conflicts"]] == [
        ("site Mole 1", "text", ["green", "grey"])
    ]
    assert left == {"Mole 1", "Only green"}
    assert answer("merge", notebook, other)["actions"] == 0
    assert "To choose: the text of site Mole 1" in run("merge", notebook, other).stdout


def test_values_to_choose_from_are_told_by_their_names(
    run: Run, notebook: Path, tmp_path: Path
) -> None:
    """A phone is told by its label, a value that was taken away as nothing; no id is shown."""
    noon, other = datetime(2026, 5, 4, 12, tzinfo=UTC), tmp_path / "other.notebook"
    reading = Reading(id="reading", stop_id="stop", device_id="d1", time_utc=noon)
    stop = Stop(id="stop", survey_id="survey", number=1, time_utc=noon, position_sigma_m=6.0)
    phones = [Device(id=f"d{number}", label=f"Phone {number}") for number in (1, 2, 3)]
    with Notebook.open(notebook) as opened:
        opened.save(*phones, stop, reading)
    run("backup", notebook, tmp_path / "b.zip")
    run("restore", tmp_path / "b.zip", other)
    for path, phone, sigma_m in ((notebook, "d2", None), (other, "d3", 8.5)):
        with Notebook.open(path) as opened:
            opened.save(replace(opened.get(Reading, "reading"), device_id=phone),
                        replace(opened.get(Stop, "stop"), position_sigma_m=sigma_m))  # fmt: skip
    told = run("merge", notebook, other).stdout

    assert "the device of reading: device Phone 3, device Phone 2 (the first stands)." in told
    assert "the position sigma of stop 1: '8.5', nothing (the first stands)." in told


def test_a_notebook_is_not_merged_with_itself(run: Run, notebook: Path) -> None:
    """The same file by two names is refused."""
    result = run("merge", notebook, notebook.parent / "." / notebook.name)

    assert result.exit_code == 2
    assert "same notebook" in result.stderr


def test_copies_that_went_on_under_one_name_are_refused(
    run: Run, notebook: Path, tmp_path: Path
) -> None:
    """Where two files claim the same origin for different actions, nothing is mixed up."""
    other = tmp_path / "other.notebook"
    with Notebook.open(notebook) as opened:
        opened.backup_to(other)
    for path in (notebook, other):
        with Notebook.open(path) as opened:
            opened.save(Site(name="New"))
    for path in (notebook, other):
        raw = sqlite3.connect(path)
        raw.execute("UPDATE journal_action SET origin = 'one'")
        raw.commit()
        raw.close()
    result = run("merge", notebook, other)

    assert result.exit_code == 2
    assert "under one name" in result.stderr


def test_a_backup_takes_a_notebooks_place_only_when_asked(
    answer: Answer, run: Run, notebook: Path, tmp_path: Path
) -> None:
    """With --replace the old state comes back, and what stood there goes to a dated backup."""
    run("backup", notebook, tmp_path / "b.zip")
    with Notebook.open(notebook) as opened:
        opened.save(Site(id="later", name="Later"))
    told = answer("restore", tmp_path / "b.zip", notebook, "--replace")
    answer("restore", told["kept"], tmp_path / "kept")
    found = []
    for path in (notebook, tmp_path / "kept"):
        with Notebook.open(path) as opened:
            found.append({site.id for site in opened.all(Site)})

    assert found == [{"site"}, {"site", "later"}]
    assert Path(told["kept"]).parent.name == "backups"
    assert run("restore", tmp_path / "b.zip", tmp_path / "none", "--replace").exit_code == 2
