"""`surveyapp expect`: the keys a sheet shows, and plain refusals."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from surveyapp.cli import cli
from surveyapp.demo.write import Demo, write_demo

FIRST = "Demo, first visit (invented)"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo as shipped."""
    return write_demo(tmp_path_factory.mktemp("demo") / "survey_demo")


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit code, stdout and stderr of one command."""
    result = CliRunner().invoke(cli, ["expect", *arguments])
    return result.exit_code, result.stdout, result.stderr


def far_run(demo: Demo) -> tuple[str, int]:
    """The stop of the far server, as the command names it."""
    trouble = next(one for one in demo.truth.troubles if one.kind == "far server")
    assert trouble.stop_number is not None
    return FIRST, trouble.stop_number


def test_one_json_object_holds_what_the_sheets_show(demo: Demo) -> None:
    """Readings with expected RSRP, runs with the keys of `rate`, each with reasons and lists."""
    survey, stop = far_run(demo)
    code, out, _ = run(str(demo.notebook_path), "--survey", survey, "--stop", str(stop), "--json")
    found: dict[str, Any] = json.loads(out)
    run_ = next(one for one in found["runs"] if one["ping_ms"] > 40.0)

    assert code == 0
    assert {"expected_dbm", "sigma_db", "difference_sigmas", "reasons", "budget"} <= set(
        found["readings"][0]
    )
    assert {"peak_mbps", "expected_mbps", "low_mbps", "high_mbps", "share"} <= set(run_)
    assert run_["limits"][0]["cause"] == "far server"
    assert 33.0 < run_["lowest_ping_ms"] < run_["ping_ms"]
    assert any(doubt["kind"] == "different servers" for doubt in found["doubts"])


def test_a_reader_gets_sentences_and_lists(demo: Demo) -> None:
    """Plain words first; with --lists also where each decibel went."""
    survey, stop = far_run(demo)
    asked = (str(demo.notebook_path), "--survey", survey, "--stop", str(stop))
    _, brief, _ = run(*asked, "--device", "Phone B")
    _, long, _ = run(*asked, "--device", "Phone B", "--lists")

    assert "Phone A, " not in brief
    assert "no ping below 34 ms is possible" in brief
    assert "EIRP of the carrier" not in brief
    assert "EIRP of the carrier" in long
    assert "lowest possible ping" in long
    assert "RSRP report index" in long
    assert "- SINR decides the rate" in long
    # once for each run: the slots were told twice, as assumed and as a note
    assert long.count("DDDSU 10:2:2") == long.count("Phone B, speed run")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--stop", "999"), "has no stop 999"),
        (("--device", "Phone Z"), "has no device named 'Phone Z'"),
        (("--survey", "Nowhere"), "has no survey named 'Nowhere'"),
    ],
)
def test_what_is_not_there_is_refused_in_one_sentence(
    demo: Demo, more: tuple[str, ...], words: str
) -> None:
    """Exit code 2, nothing on stdout, what is there instead on stderr."""
    code, out, err = run(str(demo.notebook_path), *more)

    assert code == 2
    assert out == ""
    assert words in err
    assert err.count("\n") == 1


def test_a_file_that_is_no_notebook_is_refused(tmp_path: Path) -> None:
    """One sentence, exit code 2."""
    wrong = tmp_path / "notes.txt"
    wrong.write_text("no notebook", encoding="utf-8")
    code, _, err = run(str(wrong))

    assert code == 2
    assert err.endswith(".\n")
