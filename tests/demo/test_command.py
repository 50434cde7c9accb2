"""`surveyapp demo`: writes it once, answers for each stop, and is scored against the truth."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from surveyapp.cli import cli
from surveyapp.commands.screen import SAY_SO, has_screen
from surveyapp.demo.write import Demo


def run(*arguments: object) -> Result:
    """Run `surveyapp demo` in this process."""
    return CliRunner().invoke(cli, ["demo", *(str(argument) for argument in arguments)])


@pytest.fixture(scope="module")
def scored(demo: Demo) -> dict[str, Any]:
    """What --json prints about the demo."""
    result = run("--to", demo.notebook_path.parent, "--json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


@pytest.fixture(scope="module")
def told(demo: Demo) -> str:
    """What a reader sees about the demo that is there already."""
    result = run("--to", demo.notebook_path.parent, "--no-window")
    assert result.exit_code == 0, result.stderr
    return result.stdout


def test_the_demo_is_written_once_and_then_left_as_it_is(
    demo: Demo, told: str, tmp_path: Path
) -> None:
    """Written anew or found there, the answers are the same; what is there is not touched."""
    before = demo.notebook_path.with_name("truth.json").stat().st_mtime_ns
    anew = run("--to", tmp_path / "here", "--no-window")

    assert anew.exit_code == 0, anew.stderr
    assert "was written" in anew.stdout
    assert "left as it is" in told
    assert anew.stdout.splitlines()[1:] == told.splitlines()[1:]
    assert demo.notebook_path.with_name("truth.json").stat().st_mtime_ns == before


def test_the_report_of_the_first_visit_lies_beside_the_notebook(
    demo: Demo, scored: dict[str, Any]
) -> None:
    """A page that says of itself that its data are invented."""
    page = demo.notebook_path.with_name("report.html").read_text(encoding="utf-8")

    assert scored["report"] == str(demo.notebook_path.with_name("report.html"))
    assert "<h1>Demo, first visit (invented)</h1>" in page
    assert "Invented data" in page


def test_without_matplotlib_the_demo_says_how_to_get_its_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The notebook and its answers are there all the same."""
    monkeypatch.setitem(sys.modules, "matplotlib", None)

    result = run("--to", tmp_path / "here", "--no-window")

    assert result.exit_code == 0, result.stderr
    assert "pip install 'surveyapp[desk]'" in result.stdout.splitlines()[1]
    assert not (tmp_path / "here" / "report.html").exists()


def test_there_is_a_line_for_every_stop(demo: Demo, told: str) -> None:
    """Numbered by visit and stop, with leader and runner-up in per cent."""
    numbers = {f"{stop.visit}/{stop.number}" for stop in demo.truth.stops}
    lines = [line for line in told.splitlines() if line.split() and line.split()[0] in numbers]

    assert len(lines) == len(demo.truth.stops)
    assert all(line.count(" %") >= 2 for line in lines)


def test_each_answer_is_a_distribution_and_names_its_truth(scored: dict[str, Any]) -> None:
    """Probabilities sum to one, 'none' stands last, the truth is told beside."""
    assert len(scored["stops"]) > 100
    for one in scored["stops"]:
        assert sum(ranked["probability"] for ranked in one["ranking"]) == pytest.approx(
            1.0, abs=1e-9
        )
        assert one["ranking"][-1]["sector"] == "none"
        assert one["truth"].startswith("Node ")


def test_sure_answers_are_right_as_often_as_they_say(scored: dict[str, Any]) -> None:
    """Of the answers given at 80 % or more, eight in ten name the truth, on either leg."""
    for leg in scored["score"].values():
        assert leg["sure"] >= 10
        assert leg["sure_and_right"] >= 0.8 * leg["sure"]


def test_the_5g_leg_is_told_better_than_by_the_nearest_site(
    demo: Demo, scored: dict[str, Any]
) -> None:
    """More answers name the truth than 'the listed site next to me, its best aimed panel'."""
    answers = [one for one in scored["stops"] if one["leg"] == "5G leg"]
    nearest = sum(
        min(
            (ranked for ranked in one["ranking"] if ranked["distance_m"] is not None),
            key=lambda ranked: (round(ranked["distance_m"]), ranked["off_boresight_deg"]),
        )["sector"]
        == one["truth"]
        for one in answers
    )

    assert sum(one["agrees"] for one in answers) > nearest


def test_json_opens_no_window_and_prints_only_the_object(scored: dict[str, Any]) -> None:
    """The keys a script can rely on."""
    assert set(scored) == {"notebook", "report", "stops", "score"}


def test_a_machine_without_a_display_has_no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    """On Linux the display server's variables decide."""
    monkeypatch.setattr("sys.platform", "linux")
    for name in SAY_SO:
        monkeypatch.delenv(name, raising=False)
    bare = has_screen()
    monkeypatch.setenv("WAYLAND_DISPLAY", "wayland-0")

    assert not bare
    assert has_screen()


def test_a_folder_in_use_ends_with_code_2(tmp_path: Path) -> None:
    """One sentence, and nothing is written into somebody's folder."""
    (tmp_path / "letter.txt").write_text("Dear surveyor,")
    result = run("--to", tmp_path, "--no-window")

    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]
