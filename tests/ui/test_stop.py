"""The Stop place: what serves there, and the small actions above it."""

from __future__ import annotations

from pathlib import Path

import pytest

from surveyapp.ui.theme import theme
from tests.ui import fake_phone, field_day, filled, harness
from tests.ui.conftest import NOW
from tests.ui.harness import Pilot


def test_the_serving_answer_appears(pilot: Pilot) -> None:
    """With a position and a site near by, the page names sectors with their percentages."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    harness.until(lambda: pilot.says("What would settle it"))

    assert pilot.says("What serves here")
    assert pilot.says("South")
    assert any(text.endswith(" %") for text in pilot.texts())


def test_the_answer_is_in_sight_and_the_actions_follow_the_hand(path: Path) -> None:
    """On a small phone six actions once pushed the answer off the page; laid down, with large
    text, the five buttons left no page at all."""
    pilot = harness.start(filled.write(path), clock=lambda: NOW, sensors=fake_phone.phone())
    harness.until(lambda: pilot.says("What serves here"))
    first = next(w for w in harness.shown(pilot.app.root) if type(w).__name__ == "ProbabilityRow")
    tops = {word: pilot.find(word).to_window(0, pilot.find(word).top)[1] for word in ACTIONS}
    buttons = pilot.find("Sighting")
    right_handed = [pilot.find(word).center_x for word in ACTIONS[3:]]
    theme.left_handed = True
    harness.frames(3)
    left_handed = [pilot.find(word).center_x for word in ACTIONS[3:]]

    assert first.to_window(*first.pos)[1] > buttons.to_window(0, buttons.top)[1]
    assert len(set(tops.values())) == 2
    assert right_handed == sorted(right_handed)
    assert left_handed == pytest.approx(right_handed[::-1], abs=ONE_PIXEL)

    harness.Window.size, theme.text_scale = harness.LAID_DOWN, 2.0
    harness.frames(6)
    view, buttons = (pilot.app.root.ids.manager.current_screen.ids[n] for n in ("view", "buttons"))
    assert buttons.right <= view.x + ONE_PIXEL  # under the left thumb, beside the page
    assert buttons.top <= view.top + ONE_PIXEL
    assert view.height > harness.Window.height / 2
    harness.stop(pilot)


ONE_PIXEL = 1.0
ACTIONS = (
    "Take position", "Take heading", "Compass check", "Before the runs", "Lost 5G", "Radio reset",
)  # fmt: skip
