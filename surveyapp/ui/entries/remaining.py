"""Words that came with a line and belong to no field: kept beside the row as a remark."""

from __future__ import annotations

from surveyapp.model import Reading, Remark, SpeedRun
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Texts

REMARK = "remark"
ONE_LINE = "one line"
ONE_LINE_CHOICE = Choice(value=ONE_LINE, label="One line", icon="text")


def remaining_fields(texts: Texts) -> tuple[Field, ...]:
    """The field of such words, once there are any."""
    if REMARK not in texts:
        return ()
    return (Field(name=REMARK, label="Kept as a remark", kind=Kind.TEXT, on_path=False),)


def remaining_rows(texts: Texts, beside: Reading | SpeedRun) -> tuple[Remark, ...]:
    """The remark of such words, at the same stop, time and phone."""
    words = texts.get(REMARK, "").strip()
    if not words:
        return ()
    return (
        Remark(
            stop_id=beside.stop_id,
            device_id=beside.device_id,
            time_utc=beside.time_utc,
            text=words,
        ),
    )
