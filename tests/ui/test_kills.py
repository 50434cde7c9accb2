"""Nothing acknowledged is lost, whenever the process is killed."""

from __future__ import annotations

from pathlib import Path

from tests.ui.kills import kill_typists

KILLS = 25


def test_no_acknowledged_keystroke_is_lost_in_twenty_five_kills(tmp_path: Path) -> None:
    """A typist is killed at random moments; what it had told as done is on disk each time."""
    tally = kill_typists(tmp_path, KILLS, seed=20260610)

    assert tally.losses == []
    assert tally.kills == KILLS
    assert tally.acknowledged > KILLS  # or the kills came before anything was typed
