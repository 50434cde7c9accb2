"""What is typed and not yet an entry."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """A half-typed entry sheet, as it stood at the last keystroke.

    `sheet` names the sheet ('reading', 'site', ...), `row_id` the row under edit if any,
    `fields` holds what was typed, as typed, and `focus` the field that had the cursor.
    """

    sheet: str
    stop_id: str | None = None
    row_id: str | None = None
    fields: dict[str, str] = field(default_factory=dict)
    focus: str = ""
