"""Copies in which something was hidden, kept apart from the surveys they were made from.

A copy's rows have the ids of the original's but coarser values, and its phones have other ids:
joined, the coarse value might stand and each phone would be there twice. So a survey and a copy
of it, or two copies with different things hidden, never meet in one notebook.
"""

from __future__ import annotations

from collections.abc import Iterable

from surveyapp.errors import InvalidValue
from surveyapp.model import Row, Survey
from surveyapp.store.connection import Connection

_HERE = "SELECT id, hidden FROM survey WHERE deleted_utc IS NULL"
_EVER = "SELECT id, title, hidden FROM survey"  # what was deleted lives on in the journal


def refuse_mixing(connection: Connection, rows: Iterable[Row]) -> None:
    """Raise InvalidValue where a survey among arriving rows is here, or comes twice, with other
    things hidden."""
    held: dict[str, str] = dict(connection.rows(_HERE))
    for row in rows:
        if not isinstance(row, Survey):
            continue
        here = held.setdefault(row.id, row.hidden)
        if here != row.hidden:
            raise InvalidValue(
                f"Nothing was brought in: what arrives is '{row.title}' {_how(row.hidden)}, and "
                f"this notebook holds it {_how(here)}; bring it into a notebook of its own.",
                value=row.title,
            )


def refuse_merging(mine: Connection, other: Connection) -> None:
    """Raise InvalidValue where two notebooks hold one survey with different things hidden."""
    held = {survey_id: hidden for survey_id, _, hidden in mine.rows(_EVER)}
    for survey_id, title, hidden in other.rows(_EVER):
        here = held.get(survey_id, hidden)
        if here != hidden:
            raise InvalidValue(
                f"Nothing was merged: the other notebook holds '{title}' {_how(hidden)}, this one "
                f"{_how(here)}; merge the notebooks that hold it as it was noted.",
                value=title,
            )


def _how(hidden: str) -> str:
    return f"as a copy with hidden {hidden}" if hidden else "as it was noted"
