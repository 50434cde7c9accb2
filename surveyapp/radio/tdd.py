"""How time division shares its slots between the two directions.

A pattern repeats: D a downlink slot, U an uplink slot, S a special one that turns round. The
signalling of patterns is 3GPP TS 38.213 clause 11.1; the presets are common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from surveyapp.errors import InvalidValue
from surveyapp.model import Rat
from surveyapp.radio.bands import Direction

SYMBOLS_PER_SLOT = 14
USUAL_SPECIAL = (10, 2, 2)  # common practice: downlink, gap, uplink symbols
_TEXT = re.compile(r"([DSU]{1,20})(?:\s+(\d{1,2}):(\d{1,2}):(\d{1,2}))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TddPattern:
    """A repeating row of slots; `special` counts an S slot's downlink, gap, uplink symbols."""

    slots: str
    special: tuple[int, int, int] = USUAL_SPECIAL
    note: str = ""

    def share(self, direction: Direction) -> float:
        """Part of all symbols that carries this direction, 0 to 1."""
        whole, partial = ("D", 0) if direction is Direction.DOWN else ("U", 2)
        symbols = SYMBOLS_PER_SLOT * self.slots.count(whole)
        symbols += self.special[partial] * self.slots.count("S")
        return float(Fraction(symbols, SYMBOLS_PER_SLOT * len(self.slots)))

    def __str__(self) -> str:
        """'DDDSU 10:2:2', as `tdd_pattern` reads it."""
        special = ":".join(str(part) for part in self.special)
        return f"{self.slots} {special}" if "S" in self.slots else self.slots


# Patterns mostly met; common practice, no standard prescribes them.
PRESETS = {
    "millimetre wave": TddPattern("DDDSU", (10, 2, 2), "120 kHz, common practice"),
    "mid-band": TddPattern("DDDDDDDSUU", (6, 4, 4), "30 kHz beside LTE, common practice"),
    "mid-band, short": TddPattern("DDDSU", (10, 2, 2), "30 kHz, common practice"),
    # TS 36.211 table 4.2-2, configuration 2
    "lte": TddPattern("DSUDD", (10, 2, 2), "LTE configuration 2, common practice"),
    "even": TddPattern("DSU", (10, 2, 2), "for equal directions, common practice"),
}


def tdd_pattern(text: str) -> TddPattern:
    """Read a preset's name, or slots such as 'DDDSU' or 'DDDDDDDSUU 6:4:4'.

    Without the symbols of the special slot 10:2:2 is taken. Raises InvalidValue for anything
    else, for symbols that do not add up to 14, and for a pattern that lacks a direction.
    """
    name = " ".join(text.split())
    if name.lower() in PRESETS:
        return PRESETS[name.lower()]
    found = _TEXT.fullmatch(name)
    if found is None:
        allowed = ", ".join(PRESETS)
        raise InvalidValue(
            f"'{name}' is no slot pattern: write it like DDDSU 10:2:2, or take {allowed}.",
            value=text,
            allowed=f"DDDSU 10:2:2, {allowed}",
        )
    special = USUAL_SPECIAL if found[2] is None else (int(found[2]), int(found[3]), int(found[4]))
    if sum(special) != SYMBOLS_PER_SLOT:
        raise InvalidValue(
            f"The special slot {found[2]}:{found[3]}:{found[4]} has {sum(special)} symbols: "
            "its parts add up to 14.",
            value=text,
            allowed="three parts that add up to 14",
        )
    pattern = TddPattern(found[1].upper(), special)
    if not all(pattern.share(direction) for direction in Direction):
        raise InvalidValue(
            f"The pattern {pattern} never turns round: give it both D and U, or S.",
            value=text,
            allowed="both directions",
        )
    return pattern


def usual_pattern(mhz: float, rat: Rat = Rat.NR) -> TddPattern:
    """The pattern mostly met at this frequency; common practice."""
    if rat is Rat.LTE:
        return PRESETS["lte"]
    return PRESETS["millimetre wave" if mhz >= 24_250.0 else "mid-band"]
