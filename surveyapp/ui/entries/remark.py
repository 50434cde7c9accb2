"""The remark sheet: what was noticed, in the surveyor's words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.model import Remark, RemarkKind, Row
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, choices_of
from surveyapp.ui.session import Session

KINDS = choices_of(RemarkKind)
OF_A_PHONE = (RemarkKind.LOST_5G.value, RemarkKind.RADIO_RESET.value)


class RemarkForm(Form):
    """Kind, phone and text."""

    name = "remark"
    title = "Remark"
    row_kind = Remark

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The words, where the sheet opens; what they are about by chips, and which phone."""
        phones = tuple(Choice(value=d.id, label=d.label) for d in session.devices)
        return (
            Field(name="kind", label="About", kind=Kind.CHOICE, choices=KINDS, on_path=False),
            Field(
                name="device", label="Phone", kind=Kind.CHOICE,
                choices=(Choice(value="", label="None of them"), *phones),
                on_path=texts.get("kind") in OF_A_PHONE,
            ),
            Field(name="text", label="In words", kind=Kind.TEXT, suggestions=KINDS),
        )  # fmt: skip

    def suggested(self, sheet: Any, value: str) -> None:
        """A chip says what it is about; the words stay, and a phone is asked for where one is."""
        sheet.put("kind", value)
        if value in OF_A_PHONE:
            sheet.move_to("device")

    def texts_of(self, session: Session, row: Remark) -> Texts:
        """The remark as it was typed."""
        return {"kind": row.kind.value, "text": row.text, "device": row.device_id or ""}

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """One remark at the current stop."""
        remark = row or Remark(stop_id=session.need_stop().id, time_utc=session.clock())
        kind = RemarkKind(texts.get("kind") or RemarkKind.OTHER)
        return (
            replace(
                remark,
                kind=kind,
                text=texts.get("text", "").strip(),
                device_id=texts.get("device") or None,
            ),
        )
