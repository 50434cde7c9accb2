"""`surveyapp export` and the way back: every format, private unless told otherwise."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.demo.write import write_demo
from surveyapp.exchange.formats import SURVEY_FORMATS, read_survey
from surveyapp.model import Device, Stop, Survey
from surveyapp.store.notebook import Notebook

Answer = Callable[..., dict[str, Any]]
Run = Callable[..., Result]
KEYS = [known.key for known in SURVEY_FORMATS if known.write is not None]


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's notebook."""
    return write_demo(tmp_path_factory.mktemp("export") / "demo").notebook_path


@pytest.mark.parametrize("key", KEYS)
def test_each_format_is_one_command(
    answer: Answer, notebook: Path, tmp_path: Path, key: str
) -> None:
    """The file is there, read back without trouble, and no phone or minute of the demo is in it."""
    suffix = next(known.suffixes[0] for known in SURVEY_FORMATS if known.key == key)
    out = tmp_path / f"demo{suffix}"
    told = answer("export", notebook, "--as", key, "--out", out)
    brought = read_survey(out, tmp_path)

    assert set(told) == {"file", "format", "rows", "pictures", "hidden", "loses"}
    assert told["rows"]["stop"] == sum(isinstance(row, Stop) for row in brought.rows)
    assert brought.troubles == ()
    assert b"Phone A" not in out.read_bytes()
    assert {row.time_utc.minute for row in brought.rows if isinstance(row, Stop)} == {0}


def test_a_bundle_of_everything_makes_the_same_notebook(
    run: Run, notebook: Path, tmp_path: Path
) -> None:
    """Out as a bundle and in again: every row, stamp and picture, and the notebook is whole."""
    out = tmp_path / "demo.zip"
    assert run("export", notebook, "--as", "bundle", "--out", out, "--everything").exit_code == 0
    workspace = tmp_path / "unpacked"
    workspace.mkdir()
    brought = read_survey(out, workspace)
    with (
        Notebook.open(notebook) as old,
        Notebook.create(tmp_path / "new.notebook") as new,
    ):
        new.bring_in(brought.rows, brought.pictures)

        assert sorted(new.rows_of(), key=str) == sorted(old.rows_of(), key=str)
        assert new.check() == []
        assert {path.name for path in new.photo_folder.iterdir()} == {
            path.name for path in old.photo_folder.iterdir()
        }


def test_one_survey_goes_out_alone(answer: Answer, notebook: Path, tmp_path: Path) -> None:
    """--survey takes only that survey's stops."""
    title = "Demo, second visit (invented)"
    told = answer("export", notebook, "--as", "csv", "--out", tmp_path / "x.csv", "--survey", title)

    assert told["rows"]["survey"] == 1
    assert told["rows"]["stop"] < 20


def test_home_is_cut_or_blurred(answer: Answer, notebook: Path, tmp_path: Path) -> None:
    """Stops near a home place go; with --blur-home they stay, coarse."""
    with Notebook.open(notebook) as opened:
        stop = opened.all(Stop)[0]
        total = opened.count(Stop)
    place = ("--home", f"{stop.lat_deg},{stop.lon_deg},60")
    out = ("export", notebook, "--as", "geojson", "--out", tmp_path / "x.geojson", "--replace")

    assert answer(*out, *place)["rows"]["stop"] < total
    assert answer(*out, *place, "--blur-home")["rows"]["stop"] == total


def test_what_is_kept_is_kept(answer: Answer, notebook: Path, tmp_path: Path) -> None:
    """--keep takes one thing out of hiding."""
    out = tmp_path / "x.geojson"
    told = answer("export", notebook, "--as", "geojson", "--out", out, "--keep", "devices")
    brought = read_survey(out, tmp_path)

    assert {row.label for row in brought.rows if isinstance(row, Device)} == {"Phone A", "Phone B"}
    assert not any("phones" in word for word in told["hidden"])
    assert any(isinstance(row, Survey) for row in brought.rows)


@pytest.mark.parametrize(
    ("more", "word"),
    [
        (("--as", "docx", "--out", "x"), "bundle, geojson"),
        (("--as", "nmea", "--out", "x"), "no format to write"),
        (("--out", "x"), "--as"),
        (("--as", "csv", "--out", "x", "--everything", "--keep", "times"), "--everything"),
        (("--as", "csv", "--out", "x", "--blur-home"), "--home"),
        (("--as", "csv", "--out", "x", "--home", "60"), "LAT,LON"),
        (("--as", "csv", "--out", "x", "--home", "60,24,1"), "radius"),
        (("--as", "csv", "--out", "no/such/folder/x"), "cannot be written"),
        (("--as", "csv", "--out", "x", "--survey", "None such"), "no survey named"),
    ],
)
def test_what_does_not_fit_is_refused(
    run: Run, notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    more: tuple[str, ...], word: str,
) -> None:  # fmt: skip
    """Exit code 2, one sentence, and no file."""
    monkeypatch.chdir(tmp_path)
    result = run("export", notebook, *more)

    assert result.exit_code == 2
    assert word in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_written_over_unasked(run: Run, notebook: Path, tmp_path: Path) -> None:
    """A file that is there stays, and the notebook stays even with --replace."""
    out = tmp_path / "x.csv"
    out.write_text("mine", encoding="ascii")
    refused = run("export", notebook, "--as", "csv", "--out", out)
    itself = run("export", notebook, "--as", "csv", "--out", notebook, "--replace")

    assert refused.exit_code == itself.exit_code == 2
    assert out.read_text(encoding="ascii") == "mine"
    assert run("check", notebook).exit_code == 0
