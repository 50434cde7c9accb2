"""The demo's day and what is expected of it, worked out once for all tests that look at it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from surveyapp.demo.write import Demo, write_demo
from surveyapp.store.notebook import Notebook
from tests.analysis.demo_day import Day, day_of


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """The demo as shipped; tests leave it as it is."""
    return write_demo(tmp_path_factory.mktemp("demo") / "survey_demo")


@pytest.fixture
def notebook(demo: Demo) -> Iterator[Notebook]:
    """The demo's notebook, open."""
    with Notebook.open(demo.notebook_path) as opened:
        yield opened


@pytest.fixture(scope="session")
def day(demo: Demo) -> Day:
    """Every stop of the demo with its expectations."""
    return day_of(demo)
