"""The command as a process of its own: what a shell sees, and how little it loads."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent


def process(*arguments: str) -> subprocess.CompletedProcess[str]:
    """`python -m surveyapp` with some arguments."""
    return subprocess.run(
        [sys.executable, "-m", "surveyapp", *arguments],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=False,
    )


def test_a_southern_place_is_no_option() -> None:
    """A latitude may begin with a minus without any mark before it."""
    done = process("declination", "-33.9,151.2", "--date", "2026-05-04", "--json")

    assert done.returncode == 0, done.stderr
    assert 12.0 < json.loads(done.stdout)["declination_deg"] < 14.0


def test_bad_input_reaches_the_shell_as_code_2() -> None:
    """One line on stderr, none on stdout, no traceback."""
    done = process("declination", "100,200")

    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr


def test_a_command_loads_no_screen_and_no_store() -> None:
    """What one command does not need is not imported, so that it starts at once."""
    code = (
        "import sys\n"
        "from surveyapp.cli import cli\n"
        "try:\n"
        "    cli.main(['channel', 'n258', '--json'], prog_name='surveyapp')\n"
        "except SystemExit as end:\n"
        "    assert end.code == 0\n"
        "heavy = {'kivy', 'sqlite_utils', 'osmium', 'matplotlib', 'PIL'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False
    )

    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("arguments", [("--help",), ("serving", "--help"), ("--version",)])
def test_help_and_version_end_well(arguments: tuple[str, ...]) -> None:
    """Asking for help is no error."""
    done = process(*arguments)

    assert done.returncode == 0
    assert "surveyapp" in done.stdout


def test_without_a_screen_the_app_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """`surveyapp` alone never opens a window that nobody sees."""
    if sys.platform != "linux":
        pytest.skip("elsewhere there is always a screen")
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER", "ANDROID_ARGUMENT"):
        monkeypatch.delenv(name, raising=False)
    done = process()

    assert done.returncode == 2
    assert "no screen" in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.skipif(sys.platform == "win32", reason="pipes break differently there")
def test_a_reader_who_stops_early_sees_no_traceback() -> None:
    """`surveyapp ... | head` ends in silence."""
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as pipe:
        done = subprocess.run(
            [sys.executable, "-m", "surveyapp", "channel", "n258"],
            stdout=pipe, stderr=subprocess.PIPE, text=True, cwd=ROOT, check=False,
        )  # fmt: skip

    assert done.returncode == 1
    assert done.stderr == ""
