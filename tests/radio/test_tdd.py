"""Time-division patterns."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue
from surveyapp.radio.bands import Direction
from surveyapp.radio.tdd import PRESETS, tdd_pattern, usual_pattern


@pytest.mark.parametrize(
    ("text", "down", "up"),
    [
        ("DDDSU", (3 * 14 + 10) / 70, (14 + 2) / 70),
        ("DDDSU 6:4:4", (3 * 14 + 6) / 70, (14 + 4) / 70),
        ("dddddddsuu 6:4:4", (7 * 14 + 6) / 140, (2 * 14 + 4) / 140),
        ("mid-band", (7 * 14 + 6) / 140, (2 * 14 + 4) / 140),
        ("DDDSU 10:3:1", (3 * 14 + 10) / 70, (14 + 1) / 70),
        ("DU", 0.5, 0.5),
    ],
)
def test_shares_count_whole_slots_and_the_symbols_of_the_special_one(
    text: str, down: float, up: float
) -> None:
    """Worked by hand from the pattern."""
    pattern = tdd_pattern(text)

    assert pattern.share(Direction.DOWN) == pytest.approx(down, abs=1e-12)
    assert pattern.share(Direction.UP) == pytest.approx(up, abs=1e-12)


def test_every_preset_is_marked_as_common_practice_and_reads_back() -> None:
    """No standard prescribes them; their text form is the same pattern."""
    for name, pattern in PRESETS.items():
        assert "common practice" in pattern.note
        assert tdd_pattern(name) is pattern
        assert tdd_pattern(str(pattern)).special == pattern.special
    assert usual_pattern(26_500.0) is PRESETS["millimetre wave"]
    assert usual_pattern(3500.0) is PRESETS["mid-band"]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("DDXSU", "write it like DDDSU 10:2:2"),
        ("", "write it like"),
        ("DDDSU 10:2:3", "has 15 symbols"),
        ("DDDD", "never turns round"),
        ("D" * 21, "write it like"),
    ],
)
def test_what_is_no_pattern_is_refused(text: str, sentence: str) -> None:
    """One sentence each."""
    with pytest.raises(InvalidValue, match=sentence):
        tdd_pattern(text)
