"""Doubts the surveyor has looked at and accepted: remembered, and told as such ever after.

An acceptance holds for one kind of doubt about one row. Where the doubt speaks of typed values
it holds for these words only, so that another value is doubted anew; where its figures move with
every further reading it holds whatever they are.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from surveyapp.analysis.value_doubts import Doubt, DoubtKind

MOVING = frozenset({DoubtKind.NOT_SETTLED, DoubtKind.TURNED, DoubtKind.ORDER, DoubtKind.PCI})


def acceptance_of(doubt: Doubt) -> str:
    """What is kept when a doubt is accepted: a text that names it again later."""
    told = "" if doubt.kind in MOVING else doubt.words
    return f"{doubt.row_id} | {doubt.kind} | {told}"


def is_accepted(doubt: Doubt, accepted: Collection[str]) -> bool:
    """Whether a doubt is among the accepted ones."""
    return acceptance_of(doubt) in accepted


def toggled(doubt: Doubt, accepted: Sequence[str]) -> list[str]:
    """The acceptances with this doubt accepted, or doubted again where it was accepted."""
    key = acceptance_of(doubt)
    kept = [one for one in accepted if one != key]
    return kept if len(kept) < len(accepted) else [*kept, key]
