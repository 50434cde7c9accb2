"""The documents cannot drift: their commands, examples, paths and tables are held to the code."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

from surveyapp.cli import COMMANDS
from surveyapp.exchange.formats import GROUND_FORMATS
from tests.readme_examples import README, ROOT, agrees, examples, output_of

README_TEXT = README.read_text(encoding="utf-8")
DEVELOPERS_TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
BOTH = {"README.md": README_TEXT, "DEVELOPERS.md": DEVELOPERS_TEXT}
EXAMPLES = examples(README_TEXT)
MADE_WHEN_USED = {
    "survey.notebook", "survey.photos", "demo.notebook", "demo.photos", "truth.json",
    "report.html",
}  # fmt: skip
PLACES = ("", "surveyapp", "surveyapp/geometry", "surveyapp/store", "surveyapp/demo",
          "surveyapp/commands", "surveyapp/report")  # fmt: skip


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> list[list[str]]:
    """What all examples print, run one after the other in one folder, as a reader would."""
    folder = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "sample_surveys", folder / "sample_surveys")
    return [output_of(example, folder) for example in EXAMPLES]


@pytest.mark.parametrize("number", range(len(EXAMPLES)), ids=lambda n: EXAMPLES[n].arguments[0])
def test_each_example_prints_what_the_readme_shows(outputs: list[list[str]], number: int) -> None:
    """The README's terminal examples are real."""
    example = EXAMPLES[number]
    printed = outputs[number]

    assert agrees(example.shown, printed), "\n".join(
        ["README shows:", *example.shown, "", "printed:", *printed]
    )


def test_every_command_is_shown_in_the_readme() -> None:
    """No command is left unexplained, and none is explained that does not exist."""
    shown = {example.arguments[0] for example in EXAMPLES}

    assert shown == set(COMMANDS)


@pytest.mark.parametrize("name", BOTH)
def test_every_command_named_exists(name: str) -> None:
    """`surveyapp WORD` in a document is always a command, an option or a stand-in."""
    named = re.findall(r"`surveyapp ([a-z][a-z-]*)", BOTH[name])

    assert set(named) <= set(COMMANDS)


@pytest.mark.parametrize("name", BOTH)
def test_every_file_and_folder_named_exists(name: str) -> None:
    """A path in backticks leads somewhere in the checkout, or is made by the program."""
    paths = {
        text
        for text in re.findall(r"`([\w./-]+)`", BOTH[name])
        if "/" in text.strip("/") or text.endswith(("/", ".py", ".md", ".kv", ".json", ".txt"))
    }
    missing = [
        text
        for text in paths - MADE_WHEN_USED
        if not any((ROOT / place / text).exists() for place in PLACES)
        and text not in {"name.py", "name.kv"}
    ]

    assert paths
    assert missing == []


def test_the_picture_shown_is_there() -> None:
    """Each picture of the README is a whole file of the checkout, with its licence beside it."""
    pictures = re.findall(r"!\[(.*?)\]\((.*?)\)", README_TEXT)

    assert pictures
    for told, path in pictures:
        assert "OpenStreetMap contributors" in told
        with Image.open(ROOT / path) as picture:
            picture.verify()


def test_every_room_of_the_house_is_on_the_map() -> None:
    """Each package under surveyapp is named in DEVELOPERS.md."""
    rooms = {path.parent.name for path in (ROOT / "surveyapp").glob("*/__init__.py")}
    listed = re.search(r"```\n(.*?)```", DEVELOPERS_TEXT, re.DOTALL)

    assert listed
    assert rooms <= set(re.findall(r"[a-z_]+", listed[1]))


def test_every_format_of_ground_is_named_in_the_readme() -> None:
    """What can be brought in is said where a surveyor looks."""
    told = README_TEXT.replace("PBF or XML", "PBF or OpenStreetMap XML")

    assert all(known.name in told for known in GROUND_FORMATS if known.read is not None)


def test_every_marker_of_pytest_is_explained_or_plain() -> None:
    """The marker for figures that are only our own is explained to contributors."""
    assert "`computed_here`" in DEVELOPERS_TEXT


def test_the_readme_begins_with_the_job_and_has_two_commands() -> None:
    """First the job in one paragraph; one command runs the main job, one passes the tests."""
    commands = [
        line.strip() for line in README_TEXT.splitlines() if line.startswith("    python3 -m venv")
    ]

    assert README_TEXT.splitlines()[2].startswith("You ")
    assert len(commands) == 2
    assert commands[0].endswith("surveyapp demo")
    assert commands[1].endswith("-m pytest")


@pytest.mark.parametrize(
    "script", sorted((ROOT / "tests" / "benchmarks").glob("*.py")), ids=lambda path: path.stem
)
def test_each_benchmark_can_be_imported(script: Path) -> None:
    """A benchmark nobody ran for long still fits the code."""
    done = subprocess.run(
        [sys.executable, "-c", f"import tests.benchmarks.{script.stem}"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )

    assert done.returncode == 0, done.stderr


def test_the_ci_script_finds_the_one_test_command() -> None:
    """`.ci/run` takes its command out of the README by the same pattern as here."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"s/(.+?)/\\1/p", script)

    assert pattern
    plain = pattern[1].replace(r"\(", "(").replace(r"\)", ")")
    assert len(re.findall(plain, README_TEXT, re.MULTILINE)) == 1
