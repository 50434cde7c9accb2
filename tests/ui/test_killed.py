"""Nothing tapped is lost when the process is killed."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

from tests.ui import field_day, harness
from tests.ui.killed_script import HALF_TYPED

HERE = Path(__file__).resolve().parent.parent.parent


def test_a_killed_process_leaves_the_stop_and_the_half_typed_sheet(path: Path) -> None:
    """After SIGKILL a new process shows every entry, and the sheet as it stood."""
    command = [sys.executable, "-m", "tests.ui.killed_script", str(path)]
    with subprocess.Popen(command, cwd=HERE, stdout=subprocess.PIPE, text=True) as typist:
        said = typist.stdout.readline()
        typist.send_signal(signal.SIGKILL)
    assert said == "typed\n"
    assert typist.returncode == -signal.SIGKILL

    pilot = harness.start(path)
    sheet = pilot.router.sheets[-1]
    kept = {name: sheet.state.text(name) for name in HALF_TYPED}

    assert kept == HALF_TYPED
    assert sheet.state.focus == "primary_width"
    assert pilot.says("10 MHz")

    pilot.touch_key("0")
    assert sheet.state.text("primary_width") == "100"

    pilot.back()
    for words in field_day.SHOWN_AFTER:
        assert pilot.says(words), f"{words} is lost"
    harness.stop(pilot)
