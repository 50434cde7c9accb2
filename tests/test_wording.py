"""Values in plain words: one wording for the screens, the page and the commands."""

from __future__ import annotations

import pytest

from surveyapp import wording
from surveyapp.report import words as page_words
from surveyapp.ui import words as screen_words


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(-86.5, 1, "−86.5"), (20.0, 1, "20"), (-0.04, 1, "0"), (100.0, 0, "100"), (None, 1, "–")],
)
def test_a_number_has_a_true_minus_and_no_idle_zero(
    value: float | None, decimals: int, text: str
) -> None:
    """Zeros after the point go, those before it stay; nothing is ever minus zero."""
    assert wording.number(value, decimals) == text


def test_counts_are_said_as_one_would_say_them() -> None:
    """The newcomer once read '5G lost no times' and 'left out: 1 runs'."""
    assert [wording.times(count) for count in range(4)] == ["never", "once", "twice", "3 times"]
    assert [wording.counted(count, "run") for count in range(3)] == ["no runs", "1 run", "2 runs"]


def test_screen_and_page_share_one_wording() -> None:
    """What both say is said by the same function, so that the two cannot drift apart."""
    shared = set(screen_words.__all__) & set(page_words.__all__)
    own = {"facing_text", "reading_text", "sighting_text", "with_unit"}  # they differ on purpose

    for name in shared - own:
        assert getattr(screen_words, name) is getattr(page_words, name) is getattr(wording, name)
    assert {"number", "share", "counted", "clock_text"} <= shared - own


def test_a_number_stays_with_its_unit() -> None:
    """'over 99' and '%' once stood on two lines; words and dates may still part."""
    bound = wording.kept_together("over 99 % · RSRP −81 dBm, expected −66 ± 10 dBm · 4 × 100 MHz")
    assert bound.replace(wording.NO_BREAK, "_") == (
        "over 99_% · RSRP −81_dBm, expected −66 ±_10_dBm · 4_×_100_MHz"
    )
    assert wording.kept_together("10 June 2026, 3 stops, 5 minutes") == (
        "10 June 2026, 3 stops, 5 minutes"
    )
