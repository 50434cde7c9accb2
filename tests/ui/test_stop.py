"""The Stop place: what serves there."""

from __future__ import annotations

from tests.ui import field_day, harness
from tests.ui.harness import Pilot


def test_the_serving_answer_appears(pilot: Pilot) -> None:
    """With a position and a site near by, the page names sectors with their percentages."""
    field_day.prepare(pilot)
    field_day.place(pilot)
    harness.until(lambda: pilot.says("What would settle it"))

    assert pilot.says("What serves here")
    assert pilot.says("South")
    assert any(text.endswith(" %") for text in pilot.texts())
