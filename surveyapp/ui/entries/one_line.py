"""The sheet of one line: typed, pasted or spoken text read into a reading, a speed run, or both.

It saves nothing by itself: it fills the sheets the line is for, to be looked through there.
What was not understood goes along as their remark.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from surveyapp.exchange.one_line import Line, Sheet, Understood, read_line
from surveyapp.model import Carrier, Device, Draft, Mode, Rat, Role, Source
from surveyapp.ui.entries.field import Choice, Field, Kind
from surveyapp.ui.entries.form import Form, Told, plain
from surveyapp.ui.entries.reading import SECONDARIES, ReadingForm
from surveyapp.ui.entries.remaining import REMARK
from surveyapp.ui.entries.sensed import reading_of
from surveyapp.ui.entries.speed_run import VALUES, SpeedRunForm
from surveyapp.ui.session import Session
from surveyapp.ui.words import carrier_text, joined, levels_text, number

PASTE, HELP = "paste", "help"
READING, SPEED_RUN = ReadingForm.name, SpeedRunForm.name
LABELS = {
    "band": ("Band", ""), "count": ("Carriers", ""), "bandwidth_mhz": ("Width of each", "MHz"),
    "mhz": ("Frequency", "MHz"), "channel": ("Channel", ""), "pci": ("PCI", ""),
    "rsrp_dbm": ("RSRP", "dBm"), "rsrq_db": ("RSRQ", "dB"), "sinr_db": ("SINR", "dB"),
    "down_mbps": ("Down", "Mbit/s"), "up_mbps": ("Up", "Mbit/s"), "ping_ms": ("Ping", "ms"),
    "jitter_ms": ("Jitter", "ms"), "loss_pct": ("Loss", "%"), "server_place": ("Server at", ""),
    "streams": ("Streams", ""), "mode": ("Mode", ""), "rat": ("Radio", ""), "role": ("Part", ""),
}  # fmt: skip


class LineForm(Form):
    """One text; what it says is told below it, value by value."""

    name = "one_line"
    title = "One line"
    save_word = "Fill in"

    def fields(self, session: Session, texts: dict[str, str]) -> tuple[Field, ...]:
        """The line itself."""
        return (Field(name="line", label="As typed, pasted or spoken", kind=Kind.TEXT, needed=True,
                      hint="n258 4x100 rsrp -86 sinr 14"),)  # fmt: skip

    def told(self, session: Session, texts: dict[str, str]) -> tuple[Told, ...]:
        """The phone, what was understood in the order of the line, guesses marked; the rest."""
        phone, line = read_with_phone(texts.get("line", ""), session.devices)
        told = [Told("Phone", phone.label)] if phone else []
        told += [_told(line, understood) for understood in line.understood]
        if line.remark:
            told.append(Told("Kept as the remark", line.remark))
        return tuple(told)

    def note(self, session: Session, texts: dict[str, str], name: str) -> str:
        """Which sheets it fills."""
        fills = {
            Sheet.READING: "Fills the reading.",
            Sheet.SPEED_RUN: "Fills the speed run.",
            Sheet.BOTH: "Fills the reading and the speed run.",
            Sheet.NONE: "Nothing understood yet: it would all be kept as the remark.",
        }
        text = texts.get("line", "")
        _, line = read_with_phone(text, session.devices)
        return fills[line.sheet] if text.strip() else "Values in any order, the phone by its name."

    def actions(self, session: Session, texts: dict[str, str]) -> tuple[Choice, ...]:
        """Paste, and the page on what one line may say."""
        return (
            Choice(value=PASTE, label="Paste", icon="text"),
            Choice(value=HELP, label="What one line may say", icon="question"),
        )

    def act(self, sheet: Any, action: str) -> None:
        """Take the clipboard's text, or open the page."""
        if action == PASTE:
            from kivy.core.clipboard import Clipboard

            sheet.put("line", joined_lines(Clipboard.paste() or ""))
            return
        from surveyapp.ui.sheets.grammar_sheet import GrammarSheet

        sheet.router.open(GrammarSheet(session=sheet.session, router=sheet.router))

    def finish(self, sheet: Any) -> None:
        """Fill the sheet below, and the draft of the other where the line has both; then end.

        Each is on disk before the next, so that a kill in between loses nothing.
        """
        phone, line = read_with_phone(sheet.state.texts["line"], sheet.session.devices)
        below = next((s for s in reversed(sheet.router.sheets) if _takes_lines(s)), None)
        target = below.state.form.name if below else _meant(line)
        filled = filled_by(line, target, phone)
        other = READING if target == SPEED_RUN else SPEED_RUN
        if filled[other]:
            _keep_beside(sheet, other, filled[other])
        meant = below or sheet.router.open_entry(target)
        meant.put_all(filled[target])
        meant.go_to_first(filled[target])
        sheet.drop()
        sheet.close()
        if filled[other]:
            word = "reading" if other == READING else "speed run"
            sheet.session.say(f"The {word} of this line waits on its own sheet.")


def read_with_phone(text: str, phones: Sequence[Device]) -> tuple[Device | None, Line]:
    """A line, and the phone it names by its label, which is then no word for the remark.

    A label that says something by itself, as 'n78' does, is read as what it says.
    """
    for phone in sorted(phones, key=lambda phone: -len(phone.label)):
        named = re.search(rf"(?<!\w){re.escape(phone.label)}(?!\w)", text, re.IGNORECASE)
        if named and read_line(phone.label).sheet is Sheet.NONE:
            without = f"{text[: named.start()].rstrip()} {text[named.end() :].lstrip(' :,;·')}"
            return phone, read_line(without.strip())
    return None, read_line(text)


def filled_by(line: Line, target: str, phone: Device | None = None) -> dict[str, dict[str, str]]:
    """The texts that a line gives to each of the two sheets; its remark goes to `target`."""
    reading, left = reading_texts(line)
    filled = {READING: reading, SPEED_RUN: run_texts(line)}
    if phone is not None:  # first: a phone brings its last mode, which the line may say otherwise
        for name, texts in filled.items():
            if texts or name == target:
                filled[name] = {"device": phone.id, **texts}
    remark = joined([line.remark, *left])
    if remark:
        filled[target][REMARK] = remark
    return filled


def reading_texts(line: Line) -> tuple[dict[str, str], list[str]]:
    """The reading sheet's texts, and carriers it has no room for, as words."""
    if not line.carriers and line.mode is None:
        return {}, []
    mode = line.mode or _mode_of(line.carriers)
    texts, left = carriers_texts(mode, line.carriers)
    if line.mode is None and mode is not Mode.LTE:
        texts.pop("mode")  # 5G of either kind: the sheet's own mode stays
    return {**texts, "source": Source.LINE.value}, left


def carriers_texts(mode: Mode, carriers: Sequence[Carrier]) -> tuple[dict[str, str], list[str]]:
    """Carriers as the reading sheet's texts, and those it has no room for, as words."""
    fits = [c for c in carriers if c.role is not Role.SECONDARY or _fits(c, mode)]
    left = [joined([carrier_text(c), levels_text(c)]) for c in carriers if c not in fits]
    texts = ReadingForm().texts_of(None, reading_of(mode, fits))
    texts.pop("device")
    if texts[SECONDARIES] == "0":
        texts.pop(SECONDARIES)  # those already in the sheet stay
    for part in {name.rpartition("_")[0] for name in texts if "_" in name}:
        if not texts.get(f"{part}_band") and not texts.get(f"{part}_width"):
            texts.pop(f"{part}_count", None)
    return {name: text for name, text in texts.items() if text}, left


def run_texts(line: Line) -> dict[str, str]:
    """The speed run sheet's texts."""
    speeds = line.speeds
    texts = {name: plain(getattr(speeds, field)) for name, field in VALUES.items()}
    texts["server"] = speeds.server_place
    texts["streams"] = speeds.streams.value if speeds.streams else ""
    return {name: text for name, text in texts.items() if text}


def joined_lines(text: str) -> str:
    """Pasted text on one line: a new line begins a carrier, as a semicolon does."""
    return "; ".join(part.strip() for part in text.splitlines() if part.strip())


def _takes_lines(sheet: Any) -> bool:
    return (sheet.kept_name() or ("",))[0] in (READING, SPEED_RUN)


def _meant(line: Line) -> str:
    return SPEED_RUN if line.sheet is Sheet.SPEED_RUN else READING


def _mode_of(carriers: tuple[Carrier, ...]) -> Mode:
    return Mode.LTE if all(c.rat is Rat.LTE for c in carriers) else Mode.NSA


def _fits(carrier: Carrier, mode: Mode) -> bool:
    """The sheet's further carriers are of the mode's own radio."""
    return (carrier.rat is Rat.LTE) == (mode is Mode.LTE)


def _told(line: Line, understood: Understood) -> Told:
    label, unit = LABELS[understood.name]
    if understood.carrier is not None and len(line.carriers) > 1:
        carrier = line.carriers[understood.carrier]
        where = "anchor" if carrier.role is Role.ANCHOR else str(carrier.rat)
        label = f"{label}, {where}"
    value = understood.value
    text = value if isinstance(value, str) else f"{number(value, 3)} {unit}".strip()
    return Told(label, text, "A guess: look twice" if understood.guessed else "")


def _keep_beside(sheet: Any, name: str, texts: dict[str, str]) -> None:
    """Put texts into the draft of a sheet that is not open; what was typed there stays."""
    from surveyapp.ui.entries import form_named

    session = sheet.session
    stop_id = session.need_stop().id
    kept = next(
        (d for d in session.notebook.drafts() if (d.sheet, d.stop_id, d.row_id)
         == (name, stop_id, None)), None,
    )  # fmt: skip
    begun = kept or Draft(sheet=name, stop_id=stop_id, fields=form_named(name).start(session))
    session.notebook.keep_draft(replace(begun, fields={**begun.fields, **texts}))
