"""The frame of the app: places, cautions, the way back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

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


def _laid_out(pilot: harness.Pilot) -> list[tuple[int, ...]]:
    """Where every target of page or sheet stands."""
    frame = pilot.app.root.ids.frame
    targets = [one for one in harness.shown(frame) if harness.is_target(one)]
    return [(*map(round, one.to_window(*one.pos)), *map(round, one.size)) for one in targets]


def _told(pilot: harness.Pilot, undo: bool = False) -> Any:
    """A message of some length, settled on the screen."""
    sentence = "The sensor has said nothing yet: wait a second, or enter it by hand."
    pilot.session.said.fire(sentence, undo)
    harness.frames(3)
    toast = pilot.app.root._toast
    harness.until(lambda: toast.settled)
    return toast


def test_a_message_moves_nothing_and_covers_neither_pad_nor_places(pilot: harness.Pilot) -> None:
    """Page, plan and sheet keep every place, also laid down, in German and at 200 %."""
    for size, language, scale in (
        (harness.PHONE, "en", 1.0), (harness.PHONE, "de", 2.0), (harness.LAID_DOWN, "en", 1.0),
        (harness.DESK, "en", 1.0),
    ):  # fmt: skip
        harness.Window.size = size
        harness.theme.language, harness.theme.text_scale = language, scale
        for place, sheet in (("plan", ""), ("stop", ""), ("stop", "remark"), ("stop", "position")):
            pilot.router.go(place)
            if sheet:
                pilot.router.open_entry(sheet)
            harness.frames(4)
            before = _laid_out(pilot)
            toast = _told(pilot)
            assert _laid_out(pilot) == before, (size, language, place, sheet)
            root = pilot.app.root
            below = [root.ids.bar] if root.ids.bar.get_root_window() else []
            pads = pilot.router.sheets[-1].ids.pane if sheet else None
            below += [pads.ids.foot] if pads else []
            for part in below:
                x, y = part.to_window(*part.pos)
                apart = toast.y >= y + part.height or toast.right <= x or x + part.width <= toast.x
                assert apart, (size, language, place, sheet)
            pilot.app.root.hush()
            harness.frames(2)


def test_a_tap_goes_to_what_was_there_when_the_finger_set_out(pilot: harness.Pilot) -> None:
    """'Save' is saved below a message that has only just come; one just gone takes its tap along;
    a tap on the message sends it away."""
    pilot.router.open_entry("remark").put("text", "Rain")
    harness.frames(4)
    save = pilot.find("Save")
    pilot.session.say("No position has come yet: wait a little.")
    harness.frames(1)
    pilot.touch_at(*save.to_window(*save.center))
    assert pilot.router.sheets == []

    toast = _told(pilot)
    harness.until(lambda: not toast.opacity)
    x = toast.center_x
    pilot.touch_at(x, toast.top - 20)
    assert pilot.router.sheets == []
    harness.until(lambda: toast.parent is None)

    toast = _told(pilot, undo=True)
    pilot.touch_at(toast.x + 4, toast.center_y)
    assert not pilot.app.root.message
    assert toast.parent is None
