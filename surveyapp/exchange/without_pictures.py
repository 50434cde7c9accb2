"""Photos in formats that carry no pictures."""

from __future__ import annotations

from collections.abc import Sequence

from surveyapp.model import Photo, Row

PICTURES_STAY_BEHIND = "{} photos were left out: this format does not carry their pictures."


def without_photos(rows: Sequence[Row]) -> tuple[tuple[Row, ...], int]:
    """The rows that are no photos, and how many photos there were."""
    kept = tuple(row for row in rows if not isinstance(row, Photo))
    return kept, len(rows) - len(kept)
