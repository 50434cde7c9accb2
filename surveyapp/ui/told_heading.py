"""Which way the surveyor looks, kept with the stop where it was told. No Kivy here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from surveyapp.model import NorthReference
from surveyapp.store.notebook import Notebook

HEADING_LASTS = timedelta(minutes=10)  # a phone in the hand has turned by then; our choice
KEPT_AS = "heading"


@dataclass(frozen=True)
class Heading:
    """A heading as told by hand or by a sensor, at a stop."""

    raw_deg: float
    reference: NorthReference
    time_utc: datetime
    stop_id: str = ""

    def holds(self, stop_id: str, now_utc: datetime) -> bool:
        """Whether the surveyor still looks there: at the same stop, within ten minutes."""
        return stop_id == self.stop_id and now_utc - self.time_utc < HEADING_LASTS


def keep(notebook: Notebook, heading: Heading) -> None:
    """Keep it for the next process too."""
    kept = {"raw_deg": heading.raw_deg, "reference": heading.reference.value,
            "time_utc": heading.time_utc.isoformat(), "stop_id": heading.stop_id}  # fmt: skip
    notebook.keep_setting(KEPT_AS, kept)


def kept_in(notebook: Notebook) -> Heading | None:
    """The heading told last, or None."""
    kept = notebook.setting(KEPT_AS, None)
    if not kept:
        return None
    return Heading(
        kept["raw_deg"],
        NorthReference(kept["reference"]),
        datetime.fromisoformat(kept["time_utc"]),
        kept["stop_id"],
    )
