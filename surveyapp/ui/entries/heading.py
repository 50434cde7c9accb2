"""The heading sheet: which way the surveyor looks, read from a compass."""

from __future__ import annotations

from typing import Any

from surveyapp.errors import InvalidValue
from surveyapp.model import NorthReference
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, amount, choices_of
from surveyapp.ui.entries.sensed import TAKE_HEADING, sensed, take_heading
from surveyapp.ui.session import Session


class HeadingForm(Form):
    """Degrees, and against which north."""

    name = "heading"
    title = "Heading"

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """Two fields; the second rarely changes."""
        norths = choices_of(NorthReference, {"magnetic": "Magnetic north", "true": "True north"})
        return (
            Field(name="heading", label="Heading", unit="°", decimals=1, low=0, high=359.9,
                  needed=True),
            Field(name="reference", label="Against", kind=Kind.CHOICE, choices=norths,
                  on_path=False),
        )  # fmt: skip

    def start(self, session: Session) -> Texts:
        """A compass reads against magnetic north."""
        return {"reference": NorthReference.MAGNETIC.value}

    def note(self, session: Session, texts: Texts, name: str) -> str:
        """What spoils a compass."""
        return "Keep some metres from steel: it turns a compass by many degrees (common practice)."

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """The phone's own compass."""
        return sensed(session, TAKE_HEADING)

    def act(self, sheet: Any, action: str) -> None:
        """Listen to it for two seconds."""
        take_heading(sheet)

    def save(self, session: Session, texts: Texts, row: Any, draft: Any) -> None:
        """Keep it with the stop for ten minutes; sightings and photos offer it meanwhile."""
        raw = amount(texts, "heading")
        if raw is None or not 0 <= raw < 360:
            raise InvalidValue("A heading goes from 0 to 359.9 degrees.", value=raw)
        session.set_heading(raw, NorthReference(texts["reference"]))
        session.notebook.drop_draft(draft.sheet, draft.stop_id, draft.row_id)
