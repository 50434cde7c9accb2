"""The frame of the app: places, cautions, the way back."""

from __future__ import annotations

from pathlib import Path

from tests.ui import harness


def test_the_cautions_come_up_once(path: Path) -> None:
    """The first start shows them; once read, the next start opens on the Stop place."""
    first = harness.start(path)
    assert first.says("Stay out of the road")
    first.touch("I have read this")
    harness.stop(first)
    second = harness.start(path)

    assert not second.says("Stay out of the road")
    harness.stop(second)
