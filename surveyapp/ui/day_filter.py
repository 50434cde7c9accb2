"""What of the day is shown: one kind of entry, one phone's, or only what is in doubt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from surveyapp.model import Device, Row
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.words import joined

ALL, DOUBTFUL = "", "doubtful"
KINDS = (
    Choice(value=ALL, label="All entries"),
    Choice(value=DOUBTFUL, label="In doubt"),
    Choice(value="sighting", label="Sightings"),
    Choice(value="reading", label="Readings"),
    Choice(value="speed_run", label="Speed runs"),
    Choice(value="photo", label="Photos"),
    Choice(value="remark", label="Remarks"),
)


@dataclass(frozen=True)
class DayFilter:
    """`kind` is a value of KINDS, `device_id` a phone's or ''."""

    kind: str = ALL
    device_id: str = ALL

    def shows(self, sheet: str, row: Row, doubt: str) -> bool:
        """Whether an entry is shown."""
        if self.device_id and getattr(row, "device_id", None) != self.device_id:
            return False
        return bool(doubt) if self.kind == DOUBTFUL else self.kind in (ALL, sheet)

    def words(self, devices: Iterable[Device]) -> str:
        """What the button says: 'In doubt · Phone A', or 'Show all'."""
        kind = next(choice.label for choice in KINDS if choice.value == self.kind)
        phone = next((one.label for one in devices if one.id == self.device_id), "")
        return f"Shown: {joined([kind if self.kind else '', phone])}" if self else "Filter"

    def __bool__(self) -> bool:
        """Whether anything is left out."""
        return bool(self.kind or self.device_id)


def phone_choices(devices: Iterable[Device]) -> list[Choice]:
    """The phones, and all of them."""
    return [
        Choice(value=ALL, label="All phones"),
        *(Choice(value=device.id, label=device.label) for device in devices),
    ]
