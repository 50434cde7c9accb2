"""The reading sheet: what one phone reports, its mode and its carriers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.model import Carrier, Mode, Rat, Reading, Role, Row, Source
from surveyapp.ui.entries.carrier_fields import carrier_fields, carrier_of, carrier_texts
from surveyapp.ui.entries.devices import device_fields, device_in_turn, device_of
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Texts, Told, choices_of
from surveyapp.ui.entries.remaining import (
    ONE_LINE,
    ONE_LINE_CHOICE,
    remaining_fields,
    remaining_rows,
)
from surveyapp.ui.entries.sensed import FILL_FROM_PHONE, PHONE_SAID, fill_from_phone, sensed
from surveyapp.ui.session import Session
from surveyapp.ui.words import carrier_text, joined

MORE = "one more carrier"
AS_LAST = "carriers as last time"
LOOK_BACK = 30  # readings searched for values to offer
SECONDARIES = "secondaries"
SECTIONS = {Rat.NR: "5G", Rat.LTE: "LTE"}


class ReadingForm(Form):
    """Phone, mode, then each carrier; values of the same phone and band are offered."""

    name = "reading"
    title = "Reading"
    row_kind = Reading

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The mode decides which carriers are asked for."""
        mode = Field(name="mode", label="Mode", kind=Kind.CHOICE, choices=choices_of(Mode))
        made = [*device_fields(session, texts), mode]
        whole_set = _as_last(session, texts)
        earlier = _earlier(session, texts)
        for part, role, rat, section in _parts(texts):
            offered = [c for c in earlier if _offers(c, part, rat, texts)]
            fields = carrier_fields(part, role, rat, section, offered, texts)
            if part == "primary":
                fields = (_with_suggestion(fields[0], whole_set), *fields[1:])
            made += fields
        return (*made, *remaining_fields(texts))

    def start(self, session: Session) -> Texts:
        """The phone whose turn it is, in the mode it had last."""
        return _with_mode(session, {"device": device_in_turn(session, Reading)})

    def texts_of(self, session: Session, row: Reading) -> Texts:
        """The reading as it was typed."""
        seconds = [c for c in row.carriers if c.role is Role.SECONDARY]
        texts = {"device": row.device_id, "mode": row.mode.value, SECONDARIES: str(len(seconds))}
        for part, role, _rat, _section in _parts(texts):
            nth = int(part.removeprefix("secondary") or 0) if role is Role.SECONDARY else 0
            own = [c for c in row.carriers if c.role is role]
            if nth < len(own):
                texts.update(carrier_texts(part, own[nth]))
        return texts

    def told(self, session: Session, texts: Texts) -> tuple[Told, ...]:
        """How old the values are that the phone itself gave, and what it gave that cannot be."""
        said = texts.get(PHONE_SAID, "")
        return (Told("From this phone", said),) if said else ()

    def chosen(self, session: Session, texts: Texts, name: str) -> Texts:
        """Another phone brings the mode it had last."""
        return _with_mode(session, texts) if name == "device" else {}

    def actions(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """One line or the phone itself instead of the pad, and one carrier more."""
        phone = sensed(session, FILL_FROM_PHONE)
        return (ONE_LINE_CHOICE, *phone, Choice(value=MORE, label="One more carrier", icon="add"))

    def act(self, sheet: Any, action: str) -> None:
        """Open the one line, ask the phone, or open the fields of one more carrier."""
        if action == ONE_LINE:
            sheet.router.open_entry("one_line")
            return
        if action == FILL_FROM_PHONE.value:
            fill_from_phone(sheet)
            return
        sheet.put(SECONDARIES, str(_seconds(sheet.state.texts) + 1))

    def suggested(self, sheet: Any, value: str) -> None:
        """The whole set of carriers as last time, or one value."""
        if value != AS_LAST:
            super().suggested(sheet, value)
            return
        last = _last(sheet.session, sheet.state.texts)
        bare = replace(last, carriers=_bare(last))
        for name, text in self.texts_of(sheet.session, bare).items():
            if name != "device":
                sheet.put(name, text)
        sheet.move_to("primary_rsrp")

    def rows(self, session: Session, texts: Texts, row: Any) -> tuple[Row, ...]:
        """The reading, with the phone first where it is new."""
        device_id, new = device_of(texts)
        typed = [carrier_of(part, role, rat, texts) for part, role, rat, _ in _parts(texts)]
        base = row or Reading(
            stop_id=session.need_stop().id, device_id=device_id, time_utc=session.clock()
        )
        carriers = tuple(carrier for carrier in typed if carrier is not None)
        read = replace(
            base,
            device_id=device_id,
            mode=Mode(texts.get("mode") or Mode.NSA),
            source=Source(texts.get("source") or base.source),
            carriers=carriers,
        )
        return (*new, read, *remaining_rows(texts, read))


def _parts(texts: Texts) -> list[tuple[str, Role, Rat, str]]:
    """The carriers the mode has: name of the part, role, radio and heading."""
    mode = texts.get("mode") or Mode.NSA.value
    rat = Rat.LTE if mode == Mode.LTE else Rat.NR
    parts = [("primary", Role.PRIMARY, rat, SECTIONS[rat])]
    for nth in range(_seconds(texts)):
        heading = f"{SECTIONS[rat]}, further carrier {nth + 1}"
        parts.append((f"secondary{nth}", Role.SECONDARY, rat, heading))
    if mode == Mode.NSA:
        parts.append(("anchor", Role.ANCHOR, Rat.LTE, "LTE anchor"))
    return parts


def _as_last(session: Session, texts: Texts) -> tuple[Choice, ...]:
    """The last carriers again in one touch, while no band has been typed."""
    last = _last(session, texts)
    if last is None or not last.carriers or texts.get("primary_band"):
        return ()
    label = joined(map(carrier_text, last.carriers))
    return (Choice(value=AS_LAST, label=f"As last: {label}", icon="redo"),)


def _with_suggestion(field: Field, more: tuple[Choice, ...]) -> Field:
    return replace(field, suggestions=(*more, *field.suggestions))


def _seconds(texts: Texts) -> int:
    return int(texts.get(SECONDARIES) or 0)


def _readings_of(session: Session, texts: Texts) -> list[Reading]:
    device = texts.get("device", "")
    return session.notebook.newest(Reading, LOOK_BACK, device_id=device) if device else []


def _last(session: Session, texts: Texts) -> Reading | None:
    """The last reading of this phone, or else of any."""
    own = _readings_of(session, texts) or session.notebook.newest(Reading, 1)
    return own[0] if own else None


def _with_mode(session: Session, texts: Texts) -> Texts:
    last = _last(session, texts)
    return {**texts, "mode": last.mode.value if last else Mode.NSA.value}


def _earlier(session: Session, texts: Texts) -> list[Carrier]:
    """Carriers of earlier readings, newest first."""
    readings = _readings_of(session, texts) or session.notebook.newest(Reading, LOOK_BACK)
    return [carrier for reading in readings for carrier in reading.carriers]


def _offers(carrier: Carrier, part: str, rat: Rat, texts: Texts) -> bool:
    """Whether an earlier carrier's values fit here: same radio, and same band once typed."""
    band = texts.get(f"{part}_band", "")
    anchor = (carrier.role is Role.ANCHOR) == (part == "anchor")
    return carrier.rat is rat and anchor and (not band or carrier.band[1:] == band)


def _bare(reading: Reading) -> tuple[Carrier, ...]:
    """A reading's carriers without what was measured on them."""
    return tuple(
        replace(c, rsrp_dbm=None, rsrq_db=None, sinr_db=None, pci=None) for c in reading.carriers
    )
