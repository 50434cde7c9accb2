"""The field that asks which phone, shared by the sheets of readings, runs and remarks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from surveyapp.errors import InvalidValue
from surveyapp.model import Device, Reading, SpeedRun
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Texts
from surveyapp.ui.session import Session

NEW = "new"


def device_fields(session: Session, texts: Texts) -> tuple[Field, ...]:
    """Which phone; and its name where it is a new one."""
    known = tuple(Choice(value=d.id, label=d.label) for d in session.devices)
    choices = (*known, Choice(value=NEW, label="New phone", icon="add"))
    which = Field(name="device", label="Phone", kind=Kind.CHOICE, choices=choices, needed=True)
    if texts.get("device") != NEW:
        return (which,)
    name = Field(name="device_label", label="Name of the phone", kind=Kind.TEXT, needed=True)
    return which, name


def device_in_turn(session: Session, kind: type[Reading] | type[SpeedRun], also: str = "") -> str:
    """The phone with the fewest rows of this kind here, the one in hand first; its id.

    So two phones take turns as A, B, B, A: neither is always first, nor later in the hour.

    With no phone in the notebook the sheet begins with a new one. `also` is a phone whose row
    is about to be saved.
    """
    devices = session.devices
    if not devices:
        return NEW
    here: Sequence[Reading | SpeedRun] = (
        session.notebook.all(kind, stop_id=session.stop.id) if session.stop else ()
    )
    done = Counter([*(row.device_id for row in here), also])
    recent = last_devices(session, kind, also)
    return min(devices, key=lambda d: (done[d.id], recent.get(d.id, len(recent)))).id


def last_devices(
    session: Session, kind: type[Reading] | type[SpeedRun], also: str = ""
) -> dict[str, int]:
    """How long ago each phone was used last: 0 for the phone of the newest row."""
    used = [row.device_id for row in session.notebook.newest(kind, 40)]
    newest_first = dict.fromkeys([also, *used] if also else used)
    return {device: at for at, device in enumerate(newest_first)}


def device_of(texts: Texts) -> tuple[str, list[Device]]:
    """The id of the chosen phone, and the phone itself where it is to be made."""
    chosen = texts.get("device", "")
    if chosen != NEW:
        return chosen, []
    label = texts.get("device_label", "").strip()
    if not label:
        raise InvalidValue("Name of the phone is needed.", value=label)
    made = Device(label=label)
    return made.id, [made]
