"""The stop sheet: when and where one stood, corrected afterwards."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from surveyapp.errors import InvalidValue
from surveyapp.model import PositionFrom, Row, Stop, Survey
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts
from surveyapp.ui.entries.places import (
    ON_PLAN,
    place_fields,
    place_from_plan,
    place_of,
    place_texts,
)
from surveyapp.ui.session import Session

TIME_FORMAT = "%Y-%m-%d %H:%M"
GO = "go"


class StopForm(Form):
    """Place text and time; the position by a tap on the plan or by its numbers."""

    name = "stop"
    title = "Stop"
    row_kind = Stop
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """What can be wrong about a stop."""
        return (
            Field(name="place", label="Place in words", kind=Kind.TEXT),
            Field(name="time", label="Time", kind=Kind.TEXT, needed=True,
                  hint="year-month-day hour:minute, in the survey's time zone"),
            *place_fields(),
        )  # fmt: skip

    def texts_of(self, session: Session, row: Stop) -> Texts:
        """The stop as it stands."""
        zone = ZoneInfo(session.notebook.get(Survey, row.survey_id).time_zone)
        return {
            "place": row.place_text,
            "time": row.time_utc.astimezone(zone).strftime(TIME_FORMAT),
            **place_texts(row),
        }

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """A typed coordinate is a typed place."""
        return {"placed": PositionFrom.TYPED.value} if name in ("lat", "lon") else {}

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """Stand there again, or move it on the plan."""
        return (
            Choice(value=GO, label="Go to this stop", icon="stop"),
            Choice(value=ON_PLAN, label="Place it on the plan", icon="plan"),
        )

    def act(self, sheet: Any, action: str) -> None:
        """Make it the current stop, or ask for a tap on the plan."""
        if action == GO:
            sheet.session.go_to_stop(sheet.state.row.id)
            sheet.router.go("stop")
        else:
            place_from_plan(sheet, "Tap where you stood")

    def rows(self, session: Session, texts: Texts, row: Stop) -> tuple[Row, ...]:
        """The stop, corrected; a time left as it was keeps its seconds."""
        typed = texts.get("time", "").strip()
        told = typed != self.texts_of(session, row)["time"]
        stop = replace(
            row,
            place_text=texts.get("place", "").strip(),
            time_utc=_moment(typed, session, row) if told else row.time_utc,
            **place_of(row, texts),
        )
        return (stop,)

    def what(self, row: Stop) -> str:
        """What undo calls it."""
        return f"change of stop {row.number}"

    def row_text(self, row: Stop) -> str:
        """What a deletion is called."""
        return f"stop {row.number} and its entries"


def _moment(typed: str, session: Session, row: Stop) -> datetime:
    zone = ZoneInfo(session.notebook.get(Survey, row.survey_id).time_zone)
    try:
        return datetime.strptime(typed, TIME_FORMAT).replace(tzinfo=zone).astimezone(UTC)
    except ValueError as error:
        raise InvalidValue(
            f"{typed} is no time: write year-month-day hour:minute, as 2026-06-10 11:30.",
            value=typed,
            allowed=TIME_FORMAT,
        ) from error
