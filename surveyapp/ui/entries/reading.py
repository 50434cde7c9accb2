"""The reading sheet: what one phone reports, its mode and its carriers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from surveyapp.model import Mode, Rat, Reading, Role, Row, Source
from surveyapp.ui.entries.carrier_fields import carrier_fields, carrier_of, carrier_texts
from surveyapp.ui.entries.devices import device_fields, device_in_turn, device_of
from surveyapp.ui.entries.earlier import (
    AS_BEFORE,
    bare,
    carrier_sets,
    carriers_before,
    fits,
    readings_before,
    same_carriers,
)
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

MORE = "one more carrier"
SECONDARIES = "secondaries"
SECTIONS = {Rat.NR: "5G", Rat.LTE: "LTE"}


class ReadingForm(Form):
    """Phone, mode, then each carrier; values of the same phone and band are offered."""

    name = "reading"
    title = "Reading"
    row_kind = Reading
    main = "primary_rsrp"

    def fields(self, session: Session, texts: Texts) -> tuple[Field, ...]:
        """The mode decides which carriers are asked for."""
        mode = Field(name="mode", label="Mode", kind=Kind.CHOICE, choices=choices_of(Mode))
        made = [*device_fields(session, texts), mode]
        sets = carrier_sets(session, texts)
        earlier = carriers_before(session, texts)
        for part, role, rat, section in _parts(texts):
            offered = [c for c in earlier if fits(c, part, rat, texts)]
            fields = carrier_fields(part, role, rat, section, offered, texts)
            if part == "primary":
                fields = (_with_suggestion(fields[0], sets), *fields[1:])
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
        """One line or the phone itself instead of the pad."""
        return (ONE_LINE_CHOICE, *sensed(session, FILL_FROM_PHONE))

    def further(self, session: Session, texts: Texts) -> tuple[Choice, ...]:
        """One carrier more."""
        return (Choice(value=MORE, label="One more carrier", icon="add"),)

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
        """A whole set of carriers as before, or one value."""
        if not value.startswith(AS_BEFORE):
            super().suggested(sheet, value)
            return
        before = sheet.session.notebook.get(Reading, value.removeprefix(AS_BEFORE))
        texts = self.texts_of(sheet.session, bare(before))
        sheet.put_all({name: text for name, text in texts.items() if name != "device"})
        sheet.move_to(self.main)

    def next_device(self, session: Session, texts: Texts) -> str:
        """The phone whose turn it is after this one."""
        return device_in_turn(session, Reading, also=texts.get("device", ""))

    def after(self, session: Session, texts: Texts) -> Texts:
        """The next phone stands beside this one: on the same carriers, until told otherwise."""
        return dict(same_carriers(texts))

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


def _with_suggestion(field: Field, more: tuple[Choice, ...]) -> Field:
    return replace(field, suggestions=(*more, *field.suggestions))


def _seconds(texts: Texts) -> int:
    return int(texts.get(SECONDARIES) or 0)


def _with_mode(session: Session, texts: Texts) -> Texts:
    last = next(iter(readings_before(session, texts)), None)
    return {**texts, "mode": last.mode.value if last else Mode.NSA.value}
