"""The clock sheet: a phone's clock was wrong, and all it noted moves with it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.model import Device, Survey
from surveyapp.ui.arranging import rows_of_phone, set_clock
from surveyapp.ui.entries.field import Choice, Field, Kind, Sign
from surveyapp.ui.entries.form import Form, Texts, amount
from surveyapp.ui.session import Session
from surveyapp.ui.words import clock_text, counted, number


class ClockForm(Form):
    """Which phone, and by how many minutes."""

    name = "clock"
    title = "Set a clock right"
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The phone by chips, the minutes on the pad."""
        phones = tuple(Choice(value=d.id, label=d.label) for d in session.devices)
        return (
            Field(name="device", label="Phone", kind=Kind.CHOICE, choices=phones, needed=True),
            Field(name="minutes", label="Later by", unit="min", sign=Sign.EITHER, decimals=2,
                  low=-576_000, high=576_000, needed=True,
                  suggestions=(Choice(value="60", label="1 h later"),
                               Choice(value="-60", label="1 h earlier"))),
        )  # fmt: skip

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """What would become of the first entry."""
        found = _chosen(session, texts)
        if found is None:
            return "All the times that this phone noted in this survey move together."
        survey, device = found
        rows = rows_of_phone(session.notebook, survey, device)
        if not rows:
            return f"{device.label} noted nothing in this survey."
        count = counted(len(rows), "entry", "entries")
        by = amount(texts, "minutes")
        times = [row.time_utc for row in rows if hasattr(row, "time_utc")]
        if by is None or not times:
            return f"{count} of {device.label} would move."
        before = clock_text(min(times), survey.time_zone)
        after = clock_text(min(times) + timedelta(minutes=by), survey.time_zone)
        return f"{count} would move by {number(by, 2)} min; the first from {before} to {after}."

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Move the times, as one action."""
        found, by = _chosen(session, texts), amount(texts, "minutes")
        if found is None or by is None:
            raise InvalidValue("Choose the phone and say by how many minutes its clock was wrong.")
        set_clock(session, *found, timedelta(minutes=by))
        session.notebook.drop_draft(draft.sheet, draft.stop_id, draft.row_id)


def _chosen(session: Session, texts: Texts) -> tuple[Survey, Device] | None:
    device = next((d for d in session.devices if d.id == texts.get("device")), None)
    return (session.survey, device) if session.survey and device else None
