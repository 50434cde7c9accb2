"""Fixtures of the screen tests: an app on a new notebook, driven by a finger."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.ui import filled, harness

NOW = datetime(2026, 6, 10, 9, 30, tzinfo=UTC)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the test's notebook is to be; nothing is there yet."""
    return tmp_path / "street.notebook"


@pytest.fixture
def pilot(path: Path) -> Iterator[harness.Pilot]:
    """The app on a new notebook, its cautions read, its first page left, on a phone's window."""
    running = harness.start(path, clock=lambda: NOW)
    running.touch("I have read this")
    running.touch("Later")
    running.touches = 0
    yield running
    harness.stop(running)


@pytest.fixture
def full(tmp_path: Path) -> Iterator[harness.Pilot]:
    """A full notebook with its Book open."""
    running = harness.start(filled.write(tmp_path / "book.notebook"), clock=lambda: filled.NOW)
    running.touch("Book")
    harness.frames(6)
    yield running
    harness.stop(running)
