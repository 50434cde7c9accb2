"""Kills a typist again and again at random moments, and looks for what was acknowledged."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from surveyapp.store.notebook import Notebook
from surveyapp.ui.session import Session
from tests.ui.typist import NOW, Snapshot, snapshot, typing, write_notebook

HERE = Path(__file__).resolve().parent.parent.parent
LONGEST_S = 0.15  # a typist is killed within this time after its first word


@dataclass
class Tally:
    """How often a typist was killed, what it had acknowledged, and what was lost."""

    kills: int = 0
    acknowledged: int = 0
    ahead: int = 0  # on disk already, though not yet acknowledged
    losses: list[str] = field(default_factory=list)


class Expected:
    """What is on disk after each action, learned by doing the same unharmed."""

    def __init__(self, path: Path) -> None:
        self._notebook = Notebook.open(path, clock=lambda: NOW)
        self._typing = typing(Session(self._notebook, lambda: NOW))
        self._known: list[Snapshot] = [snapshot(self._notebook)]

    def after(self, actions: int) -> Snapshot:
        """The state after so many actions."""
        while len(self._known) <= actions:
            next(self._typing)
            self._known.append(snapshot(self._notebook))
        return self._known[actions]

    def close(self) -> None:
        """Done."""
        self._notebook.close()


def kill_typists(folder: Path, count: int, seed: int) -> Tally:
    """Kill so many typists, each on a notebook of its own in `folder`."""
    chance, tally = random.Random(seed), Tally()
    clean = folder / "clean.notebook"
    write_notebook(clean)
    shutil.copy(clean, folder / "unharmed.notebook")
    expected = Expected(folder / "unharmed.notebook")
    with nursery() as typists:
        for number in range(count):
            path = folder / f"killed-{number}.notebook"
            shutil.copy(clean, path)
            acknowledged = _killed(typists, path, chance.uniform(0.0, LONGEST_S))
            _compare(path, acknowledged, expected, tally)
            path.unlink()
    expected.close()
    return tally


@contextmanager
def nursery() -> Iterator[subprocess.Popen[str]]:
    """The process that forks typists."""
    command = [sys.executable, "-m", "tests.ui.typist"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, cwd=HERE, text=True, **pipes) as process:
        yield process
        process.stdin.close()


def _killed(typists: subprocess.Popen[str], path: Path, after_s: float) -> int:
    """Kill one typist; the number of the last action it told as done."""
    typists.stdin.write(f"{path}\n")
    typists.stdin.flush()
    child = int(typists.stdout.readline())
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    told = [line.strip() for line in iter(typists.stdout.readline, "ended\n")]
    return int(told[-1]) if told else 0


def _compare(path: Path, acknowledged: int, expected: Expected, tally: Tally) -> None:
    tally.kills += 1
    tally.acknowledged += acknowledged
    with Notebook.open(path, clock=lambda: NOW) as notebook:
        found, damages = snapshot(notebook), notebook.check()
    ahead = found == expected.after(acknowledged + 1)
    tally.ahead += ahead
    if damages or not (ahead or found == expected.after(acknowledged)):
        tally.losses.append(f"after action {acknowledged}: {found}, {damages}")
