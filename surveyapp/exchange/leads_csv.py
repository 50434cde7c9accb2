"""Leads in a table: comma, semicolon or tab between columns, names of columns in line 1.

RFC 4180 for the quoting; UTF-8. Decimal commas are read where they cannot be taken for the
mark between columns: in a table of semicolons or tabs, or in quotes.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

from surveyapp.errors import FormatError
from surveyapp.exchange.files import refused, text_of
from surveyapp.exchange.json_text import MOST_BYTES
from surveyapp.exchange.leads import LeadGatherer, LeadRow, LeadsRead

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "lat": ("lat", "latitude", "lat_deg", "y"),
    "lon": ("lon", "lng", "long", "longitude", "lon_deg", "x"),
    "position": ("position", "coordinates"),
    "name": ("name", "title", "site", "label"),
    "operator": ("operator",),
    "kind": ("kind", "type"),
    "height": ("height", "height_m"),
    "text": ("text", "note", "notes", "comment", "description", "desc", "remark"),
}
"""What a column may be called, in any case, for each part of a lead."""


def read_leads_csv(path: Path) -> LeadsRead:
    """The leads of a table; other columns are passed over.

    Raises FormatError for a file that is too large, not UTF-8, or has no columns of positions.
    """
    text = text_of(path, MOST_BYTES)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=_mark(text.partition("\n")[0]))
    gatherer = LeadGatherer(path)
    try:
        wanted = _wanted(path, next(rows, []))
        for cells in rows:
            if any(cell.strip() for cell in cells):
                row = {part: cells[index] for part, index in wanted.items() if index < len(cells)}
                gatherer.take(f"line {rows.line_num}", LeadRow(**row))
    except csv.Error as error:
        place = f"line {rows.line_num}"
        raise refused(path, f"is no table that can be read ({place}: {error})", place) from error
    return gatherer.finish()


def _mark(header: str) -> str:
    """The mark between columns: that of the three which the first line holds most often."""
    return max((",", ";", "\t"), key=header.count)


def _wanted(path: Path, header: Sequence[str]) -> dict[str, int]:
    """Column number of each part of a lead that the table has."""
    named = {name.strip().casefold(): index for index, name in reversed(list(enumerate(header)))}
    found = {
        part: named[name]
        for part, names in COLUMNS.items()
        for name in reversed(names)
        if name in named
    }
    if "position" not in found and not {"lat", "lon"} <= set(found):
        raise FormatError(
            f"{path} names no columns of positions in line 1: call them lat and lon.",
            path=str(path),
            place="line 1",
        )
    return found
