"""Accepted doubts: remembered as long as they mean the same."""

from __future__ import annotations

from dataclasses import replace

from surveyapp.analysis.accepted_doubts import is_accepted, toggled
from surveyapp.analysis.value_doubts import Doubt, DoubtKind

RANGE = Doubt(
    row_id="r1", kind=DoubtKind.RANGE, words="The NR RSRP of -20 dBm cannot be.", settle="Again."
)
UNSETTLED = replace(RANGE, kind=DoubtKind.NOT_SETTLED, words="S1 at 69% at most.")


def test_an_accepted_doubt_is_known_again_and_no_other_is() -> None:
    """Neither another row's nor another kind's."""
    kept = toggled(RANGE, [])

    assert is_accepted(RANGE, kept)
    assert not is_accepted(replace(RANGE, row_id="r2"), kept)
    assert not is_accepted(UNSETTLED, kept)


def test_another_value_is_doubted_anew() -> None:
    """What was accepted of -20 dBm says nothing about -10 dBm."""
    kept = toggled(RANGE, [])

    assert not is_accepted(replace(RANGE, words="The NR RSRP of -10 dBm cannot be."), kept)


def test_a_moving_figure_keeps_its_acceptance() -> None:
    """69 % today and 71 % after one more reading are the same doubt."""
    kept = toggled(UNSETTLED, [])

    assert is_accepted(replace(UNSETTLED, words="S1 at 71% at most."), kept)


def test_accepting_twice_is_doubting_again() -> None:
    """The second touch takes the first back and leaves the others."""
    kept = toggled(UNSETTLED, toggled(RANGE, []))

    assert toggled(RANGE, kept) == toggled(UNSETTLED, [])
