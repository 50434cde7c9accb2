"""A full notebook on the real quarter, its plan open."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.store.notebook import Notebook
from tests.ui import filled, harness, place_scenes
from tests.ui.harness import Pilot


@pytest.fixture(scope="session")
def street(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A full notebook on the real quarter, written once and copied for each test."""
    path = filled.write(tmp_path_factory.mktemp("street") / "plan.notebook")
    with Notebook.open(path) as notebook:
        notebook.ground.replace(place_scenes.quarter(), "quarter.osm.gz")
    return path


@pytest.fixture
def pilot(street: Path, tmp_path: Path) -> Iterator[Pilot]:
    """A copy of that notebook, its plan open."""
    shutil.copytree(street.parent, tmp_path / "copy")
    running = harness.start(tmp_path / "copy" / street.name, clock=lambda: filled.NOW)
    running.touch("Plan")
    harness.frames(4)
    yield running
    harness.stop(running)
