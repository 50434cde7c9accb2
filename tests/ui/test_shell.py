"""The frame of the app: places, cautions, the way back."""

from __future__ import annotations

from pathlib import Path

import pytest

from surveyapp.model import Site
from surveyapp.store.notebook import Notebook
from surveyapp.ui.app import SurveyApp
from tests.ui import harness


def test_the_cautions_come_up_once(path: Path) -> None:
    """The first start shows them; once read, the next start opens on the Stop place."""
    first = harness.start(path)
    assert first.says("Stay out of the road")
    first.touch("I have read this")
    harness.stop(first)
    second = harness.start(path)

    assert not second.says("Stay out of the road")
    assert second.says("A new notebook")
    harness.stop(second)


def test_a_file_that_is_no_notebook_is_told_and_left_alone(path: Path) -> None:
    """The app opens with one plain sentence, and the file keeps its bytes."""
    path.write_bytes(b"not a notebook at all")
    pilot = harness.start(path)

    assert pilot.says("This notebook cannot be opened")
    assert pilot.says("notebook")
    harness.stop(pilot)
    assert path.read_bytes() == b"not a notebook at all"


def test_a_notebook_damaged_inside_is_told_and_left_alone(path: Path) -> None:
    """Damage far behind the header is found before the first page shows, and nothing is written."""
    with Notebook.create(path) as notebook:
        notebook.save(*(Site(name=f"Quay {number}") for number in range(200)))
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 2)
        file.write(b"\xff" * 20_000)
    damaged = path.read_bytes()
    pilot = harness.start(path)

    assert pilot.says("This notebook cannot be opened")
    assert pilot.says("is damaged")
    harness.stop(pilot)
    assert path.read_bytes() == damaged


def test_the_users_own_notebook_has_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a new machine the folder for it is made."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "new" / "config"))
    path = SurveyApp().default_path()

    assert path.parent.is_dir()
    assert tmp_path in path.parents


def test_theme_and_text_size_are_taken_up_again(path: Path) -> None:
    """What was set in the notebook holds at the next start."""
    first = harness.start(path)
    first.session.notebook.keep_setting("theme", "night")
    first.session.notebook.keep_setting("text_scale", 1.6)
    harness.stop(first)
    app = SurveyApp(path)
    app.root = app.build()
    taken_up = (harness.theme.name, harness.theme.text_scale)
    app.on_stop()  # its pages ask the closed notebook nothing any more
    harness.theme.name, harness.theme.text_scale = "day", 1.0

    assert taken_up == ("night", 1.6)
