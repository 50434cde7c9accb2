"""Rows out of formats that carry no pictures."""

from __future__ import annotations

from surveyapp.exchange.content import Brought, Gatherer
from surveyapp.model import Photo, Row

PICTURES_STAY_BEHIND = "{} photos were left out: this format does not carry their pictures."


def brought_without_photos(gathered: Gatherer[Row]) -> Brought:
    """What was gathered but its photos, with a note where there were some."""
    rows = tuple(row for row in gathered.good if not isinstance(row, Photo))
    left = len(gathered.good) - len(rows)
    notes = (PICTURES_STAY_BEHIND.format(left),) if left else ()
    return Brought(rows=rows, troubles=tuple(gathered.troubles), notes=notes)
