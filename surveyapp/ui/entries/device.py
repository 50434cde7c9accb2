"""The phone sheet: what makes one phone of the survey different from another."""

from __future__ import annotations

from dataclasses import replace

from surveyapp.model import Device, Row
from surveyapp.ui.entries.field import Field, Kind
from surveyapp.ui.entries.form import Form, Texts, chips
from surveyapp.ui.session import Session

FIELDS = ("label", "model", "modem", "system", "operator", "text")


class DeviceForm(Form):
    """A name to tell it by; the rest as far as it is known."""

    name = "device"
    title = "Phone"
    row_kind = Device
    at_stop = False

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """All of them text."""
        operators = chips(device.operator for device in session.devices)
        return (
            Field(name="label", label="Name", kind=Kind.TEXT, needed=True,
                  hint="such as phone A"),
            Field(name="model", label="Model", kind=Kind.TEXT),
            Field(name="modem", label="Modem", kind=Kind.TEXT),
            Field(name="system", label="System and version", kind=Kind.TEXT),
            Field(name="operator", label="Operator of its SIM", kind=Kind.TEXT,
                  suggestions=operators),
            Field(name="text", label="Notes", kind=Kind.TEXT, on_path=False),
        )  # fmt: skip

    def texts_of(self, session: Session, row: Device) -> Texts:
        """The phone as it stands."""
        return {name: getattr(row, name) for name in FIELDS}

    def rows(self, session: Session, texts: Texts, row: Device | None) -> tuple[Row, ...]:
        """The phone."""
        typed = {name: texts.get(name, "").strip() for name in FIELDS}
        return (replace(row or Device(label=""), **typed),)

    def row_text(self, row: Device) -> str:
        """What a deletion is called."""
        return f"phone {row.label}"
