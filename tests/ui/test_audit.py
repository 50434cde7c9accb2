"""Every page and sheet keeps the house rules at both phone sizes, themes and text scales."""

from __future__ import annotations

from pathlib import Path

import pytest

from surveyapp.ui.theme import theme
from tests.ui import harness, scenes
from tests.ui.audit import problems_on_screen

LOOKS = [
    (size, scale, name)
    for size in (harness.PHONE, harness.LARGE_PHONE)
    for scale, name in ((1.0, "day"), (2.0, "night"))
]


@pytest.mark.parametrize("scene", scenes.SCENES, ids=lambda scene: scene.name)
def test_a_scene_keeps_the_house_rules(scene: scenes.Scene, tmp_path: Path) -> None:
    """No small target, clipped or covered text, in any look; and Back leads home from it."""
    pilot = scenes.start(scene, tmp_path)
    found = []
    for size, scale, name in LOOKS:
        harness.Window.size = size
        theme.text_scale, theme.name = scale, name
        harness.frames(6)
        if pilot.app.root.message and scene.name != "stop_message":
            pilot.app.root.hush()
            harness.frames(2)
        wrong = problems_on_screen(pilot.app.root)
        found += [f"{size} at {scale:.0%}, {name}: {problem}" for problem in wrong]
    steps = 0
    while pilot.router.back():
        steps += 1
    harness.stop(pilot)

    assert not found, "\n".join(found)
    assert steps < 6
