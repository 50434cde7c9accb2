"""The real app, entering speed runs by touch until it is killed.

`python -m tests.benchmarks.killed_screens NOTEBOOK`: after each touch that is through, what the
notebook holds by then is told; without being killed, the whole script comes to its end.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

from surveyapp.store.notebook import Notebook
from tests.ui.typist import FIELDS, NOW, RUNS, snapshot, write_notebook

HERE = Path(__file__).resolve().parent.parent.parent
LONGEST_S = 3.0  # from the first touch on


def work(path: Path) -> None:
    """Type runs until killed, or until all are in."""
    from tests.ui import harness

    pilot = harness.start(path)
    pilot.touch("I have read this")
    _tell(pilot)
    for values in RUNS:
        pilot.touch("Speed run")
        _tell(pilot)
        for name, value in zip(FIELDS, values, strict=True):
            for key in value:
                pilot.touch_key(key)
                _tell(pilot)
            pilot.touch_key("Save" if name == FIELDS[-1] else "Next")
        _tell(pilot)
    harness.stop(pilot)


def _tell(pilot: object) -> None:
    print(json.dumps(snapshot(pilot.session.notebook)), flush=True)


def kill_screens(folder: Path, count: int, seed: int) -> tuple[int, int, list[str], list[str]]:
    """Kills, states told, losses, damages: every state found is one of the unharmed run's, and
    not an earlier one than the last that was told."""
    chance = random.Random(seed)
    known = _run(folder / "unharmed.notebook", None)
    told, lost, damaged = 0, [], []
    for number in range(count):
        path = folder / f"{number}.notebook"
        seen = _run(path, chance.uniform(0.0, LONGEST_S))
        told += len(seen)
        with Notebook.open(path, clock=lambda: NOW) as notebook:
            found = json.dumps(snapshot(notebook))
            damaged += notebook.check()
        if found not in known[len(seen) - 1 : len(seen) + 1]:
            lost.append(f"real screens, after {len(seen)} touches: {found}")
    return count, told, lost, damaged


def _run(path: Path, after_s: float | None) -> list[str]:
    write_notebook(path)
    command = [sys.executable, "-m", "tests.benchmarks.killed_screens", path]
    with subprocess.Popen(command, cwd=HERE, text=True, stdout=subprocess.PIPE) as process:
        lines = [process.stdout.readline()]
        if after_s is not None:
            time.sleep(after_s)
            process.kill()
        lines += process.stdout.read().splitlines(keepends=True)
    return [line.strip() for line in lines if line.startswith("[") and line.endswith("\n")]


if __name__ == "__main__":
    work(Path(sys.argv[1]))
