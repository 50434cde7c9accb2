"""Every page and sheet keeps the house rules: upright and laid down, both themes, large text."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.ui.screens import HOME
from surveyapp.ui.sheets.entry_sheet import EntrySheet
from surveyapp.ui.theme import theme
from tests.ui import harness, scenes
from tests.ui.audit import problems_on_screen
from tests.ui.harness import Pilot
from tests.ui.shown_by import SHOWN_BY, all_there_is, on_screen

# where least fits; all that keeps the rules here has kept them in the other looks so far
HARDEST = {
    "page": [(harness.PHONE, 2.0, "night")],
    "sheet": [(harness.SMALL_PHONE, 2.0, "night"), (harness.LAID_DOWN, 1.0, "day")],
}
EVERY = [
    (size, scale, name)
    for size in (harness.PHONE, harness.LARGE_PHONE, harness.DESK)
    for scale in (1.0, 2.0)
    for name in ("day", "night")
]


class Audited:
    """Keeps the app open from scene to scene as long as its notebook is as it was."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._pilot: Pilot | None = None
        self._started = 0

    def at(self, scene: scenes.Scene) -> Pilot:
        """The app at this scene."""
        if self._pilot is None or scene.empty or scene.sensors:
            self._open(scene)
        scene.go(self._pilot)
        harness.frames(4)
        return self._pilot

    def _open(self, scene: scenes.Scene) -> None:
        self.close()
        self._started += 1
        folder = self._folder / str(self._started)
        folder.mkdir()
        self._pilot = scenes.begin(scene, folder)
        self._begun = self._pilot.session.notebook.history(1)

    def leave(self, scene: scenes.Scene) -> int:
        """Back home, in how many steps; an app whose notebook has changed is closed."""
        pilot = self._pilot
        steps = 0
        while pilot.router.back():
            steps += 1
        notebook = pilot.session.notebook
        for draft in notebook.drafts():
            notebook.drop_draft(draft.sheet, draft.stop_id, draft.row_id)
        if scene.empty or scene.sensors or notebook.history(1) != self._begun:
            self.close()
        else:
            pilot.app.root.hush()
            manager = pilot.app.root.ids.manager
            for page in [page for page in manager.screens if page.name != HOME]:
                page.rest()
                manager.remove_widget(page)
                harness.let_go(page)
            harness.Window.size, theme.text_scale, theme.name = harness.PHONE, 1.0, "day"
            theme.language = "en"
            harness.frames(4)
        return steps

    def close(self) -> None:
        """Close the app, if one is open."""
        if self._pilot is not None:
            harness.stop(self._pilot)
        self._pilot = None


def entry_on_top(pilot: Pilot) -> bool:
    """Whether an entry sheet is shown: they must also work laid down and on a small phone."""
    sheets = pilot.router.sheets if pilot.session.pick is None else []
    return bool(sheets) and isinstance(sheets[-1], EntrySheet)


@pytest.fixture(scope="module")
def audited(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Audited]:
    """One app for the scenes of this file."""
    holder = Audited(tmp_path_factory.mktemp("audited"))
    yield holder
    holder.close()


@pytest.mark.parametrize("looks", ["hardest", pytest.param("every", marks=pytest.mark.every_look)])
@pytest.mark.parametrize("scene", scenes.SCENES, ids=lambda scene: scene.name)
def test_a_scene_keeps_the_house_rules(scene: scenes.Scene, looks: str, audited: Audited) -> None:
    """No small target, clipped or covered text; and Back leads home from it."""
    try:
        pilot = audited.at(scene)
        expected = {what for what, name in SHOWN_BY.items() if name == scene.name}
        found = [f"does not show {what}" for what in expected - on_screen(pilot)]
        hardest = HARDEST["sheet" if entry_on_top(pilot) else "page"]
        for size, scale, name in EVERY if looks == "every" else hardest:
            harness.Window.size = size
            theme.text_scale, theme.name = scale, name
            harness.frames(8)
            wrong = problems_on_screen(pilot.app.root)
            found += [f"{size} at {scale:.0%}, {name}: {problem}" for problem in wrong]
        steps = audited.leave(scene)
    except BaseException:
        audited.close()
        raise

    assert not found, "\n".join(found)
    assert steps < 6


def test_every_page_and_sheet_has_its_scene() -> None:
    """What is added to the app is audited and pictured too, in the scene named for it."""
    assert set(SHOWN_BY) == all_there_is()
    assert set(SHOWN_BY.values()) <= {scene.name for scene in scenes.SCENES}


@pytest.mark.parametrize("name", ["plan", "plan_pick", "book"])
def test_places_of_two_columns_keep_the_house_rules_beside_each_other(
    name: str, audited: Audited
) -> None:
    """Laid down and on a desk, where lists stand beside the plan and the Book's sections."""
    scene = next(scene for scene in scenes.SCENES if scene.name == name)
    pilot = audited.at(scene)
    found = []
    for size in (harness.LAID_DOWN, harness.DESK):
        harness.Window.size = size
        harness.frames(8)
        found += [f"{size}: {problem}" for problem in problems_on_screen(pilot.app.root)]
    audited.leave(scene)
    assert not found, "\n".join(found)
