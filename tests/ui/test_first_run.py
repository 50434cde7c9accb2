"""The first page of an empty notebook, by touch: a stop, the demo day and back, a file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.model import Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from surveyapp.ui.notebooks import IN_DEMO, Notebooks
from surveyapp.ui.theme import theme
from tests.ui import harness
from tests.ui.conftest import NOW
from tests.ui.harness import Pilot


@pytest.fixture
def first(path: Path) -> Iterator[Pilot]:
    """The app on a new notebook, its cautions read."""
    running = harness.start(path, clock=lambda: NOW)
    running.touch("I have read this")
    yield running
    harness.stop(running)


def test_one_touch_starts_the_first_stop(first: Pilot) -> None:
    """The page teaches, and is gone once there is a stop; Back does not bring it again."""
    assert first.says("A stop is where you stand still.")
    first.touch("Start the first stop here")
    assert first.says("Stop 1")
    first.back()

    assert first.router.pages == [("stop", {})]
    assert first.session.notebook.count(Stop) == 1


def test_a_file_can_be_brought_in_at_once(first: Pilot) -> None:
    """It leads to the Book's own page; Back goes on to the Book and the Stop."""
    first.touch("Bring in a file")
    assert first.says("Choose a file")
    first.back()
    first.back()

    assert first.router.pages == [("stop", {})]
    assert first.says("No stop yet")


def test_the_demo_day_is_another_file_and_the_way_back_is_on_every_page(
    first: Pilot, path: Path
) -> None:
    """It opens with its surveys; the own notebook stays empty; a restart opens it again."""
    first.session.notebook.keep_setting("theme", "night")
    first.touch("Look at the demo day")
    assert first.says("It is being made")
    harness.until(lambda: first.session.notebook.path != path, 60.0)
    demo = first.session.notebook.path
    assert demo == path.parent / "demo day" / "demo.notebook"
    assert first.session.notebook.count(Survey) == 2
    assert first.says("Invented demo day")
    assert theme.name == "night"
    assert not first.says("I have read this")
    first.touch("Remark")
    assert first.says("Invented demo day")
    harness.stop(first)
    with Notebook.open(path) as own:
        assert (own.count(Survey), own.count(Site), own.drafts()) == (0, 0, [])
        assert own.setting(IN_DEMO)
    again = harness.start(path, clock=lambda: NOW)
    assert again.session.notebook.path == demo
    again.touch("Invented demo day")
    harness.until(lambda: again.session.notebook.path == path)
    assert not again.says("Invented demo day")
    again.touch("Start the first stop here")
    first.app = again.app  # the one to be closed

    assert again.session.notebook.count(Survey) == 1
    assert Notebooks(path).demo.is_file()


def test_the_book_leads_to_it_again(pilot: Pilot) -> None:
    """With stops in the notebook too; in the demo day it would lead nowhere else."""
    pilot.touch_at(180, 500)
    pilot.touch("Book")
    pilot.touch("First steps")
    assert pilot.says("A stop is where you stand still.")
    pilot.touch("Start a stop here")

    assert pilot.says("Stop 2")


def test_a_damaged_demo_day_does_not_keep_one_from_the_own_notebook(path: Path) -> None:
    """The own notebook opens, and forgets the demo day."""
    demo = Notebooks(path).demo
    demo.parent.mkdir()
    demo.write_bytes(b"no notebook" * 1000)
    before = hashlib.sha256(demo.read_bytes()).hexdigest()
    with Notebook.create(path, clock=lambda: NOW) as own:
        own.keep_setting(IN_DEMO, True)
    running = harness.start(path, clock=lambda: NOW)
    opened, remembered = running.session.notebook.path, running.session.notebook.setting(IN_DEMO)
    harness.stop(running)

    assert (opened, remembered) == (path, False)
    assert hashlib.sha256(demo.read_bytes()).hexdigest() == before
