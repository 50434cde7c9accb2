"""The list before the runs, and what befell a phone, each noted with one touch. No Kivy here."""

from __future__ import annotations

from dataclasses import replace

from surveyapp.analysis.preparation import Tick, tick_utc
from surveyapp.model import Device, Preparation, Reading, Remark, RemarkKind, SpeedRun
from surveyapp.ui.session import Session

TICK_WORDS = {
    Tick.RADIO_RESET: "Radio reset",
    Tick.NETWORK_MODE: "Network mode looked at",
    Tick.BATTERY_AND_HEAT: "Battery and heat looked at",
    Tick.SERVER_CHOSEN: "Test server chosen",
}


def preparation_of(session: Session, device: Device) -> Preparation:
    """What was ticked for a phone at the current stop; a new row where nothing was."""
    stop = session.need_stop()
    rows = session.notebook.all(Preparation, stop_id=stop.id, device_id=device.id)
    return rows[-1] if rows else Preparation(stop_id=stop.id, device_id=device.id)


def ticked(preparation: Preparation) -> frozenset[Tick]:
    """The points that are ticked."""
    return frozenset(tick for tick in Tick if tick_utc(preparation, tick) is not None)


def toggle(session: Session, device: Device, tick: Tick) -> None:
    """Tick a point, or take its tick away, and keep that."""
    row = preparation_of(session, device)
    moment = None if tick in ticked(row) else session.clock()
    what = f"{TICK_WORDS[tick].lower()} on {device.label}"
    session.save(replace(row, **{f"{tick}_utc": moment}), what=what)


def phone_in_hand(session: Session) -> Device | None:
    """The phone something was entered for last, here if anything was; else the first."""
    devices = {device.id: device for device in session.devices}
    stop_id = session.stop.id if session.stop else None
    for where in ({"stop_id": stop_id}, {}):
        newest = [
            row for kind in (Reading, SpeedRun) for row in session.notebook.newest(kind, 1, **where)
        ]
        if newest:
            last = max(newest, key=lambda row: row.time_utc)
            return devices.get(last.device_id)
    return next(iter(devices.values()), None)


def note_at_once(session: Session, kind: RemarkKind) -> None:
    """A lost 5G leg or a radio reset of the phone in hand; a reset is a tick of its list too."""
    phone = phone_in_hand(session)
    stop, now = session.need_stop(), session.clock()
    remark = Remark(
        stop_id=stop.id, device_id=phone.id if phone else None, time_utc=now, kind=kind
    )  # fmt: skip
    rows = [remark]
    if kind is RemarkKind.RADIO_RESET and phone is not None:
        rows.append(replace(preparation_of(session, phone), radio_reset_utc=now))
    word = kind.value[:1].upper() + kind.value[1:]
    session.save(*rows, what=f"{kind.value} of {phone.label}" if phone else kind.value)
    about = f" for {phone.label}: tap the entry to change the phone." if phone else "."
    session.said.fire(f"{word} noted{about}", True)
