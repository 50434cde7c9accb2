"""Programs of others, run on the files we write."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest


def needs(tool: str) -> None:
    """Skip where a program is not installed."""
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} is not installed")


def output_of(*command: str | Path) -> str:
    """What it prints; a warning or an error fails."""
    done = subprocess.run(command, capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return done.stdout
