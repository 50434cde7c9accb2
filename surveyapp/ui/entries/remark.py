"""The remark sheet: what was noticed, in the surveyor's words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.model import Remark, RemarkKind, Row
from surveyapp.ui.entries.field import Field, Kind
from surveyapp.ui.entries.form import Form, Texts, choices_of
from surveyapp.ui.session import Session


class RemarkForm(Form):
    """Kind and text."""

    name = "remark"
    title = "Remark"
    row_kind = Remark

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """Kind by chips, then free text."""
        return (
            Field(name="kind", label="About", kind=Kind.CHOICE, choices=choices_of(RemarkKind)),
            Field(name="text", label="In words", kind=Kind.TEXT),
        )

    def texts_of(self, session: Session, row: Remark) -> Texts:
        """The remark as it was typed."""
        return {"kind": row.kind.value, "text": row.text}

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """One remark at the current stop."""
        remark = row or Remark(stop_id=session.need_stop().id, time_utc=session.clock())
        kind = RemarkKind(texts.get("kind") or RemarkKind.OTHER)
        return (replace(remark, kind=kind, text=texts.get("text", "").strip()),)
