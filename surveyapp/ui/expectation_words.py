"""What was expected of a reading or a speed run, as rows and sheets tell it. No Kivy here.

A `Verdict` holds one `Matter` for each thing that can be judged: the legs of a reading, the
download and the ping of a run. Rows show its strip and its first reasons, the sheet all of it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.ui.answer_words import Expectation
from surveyapp.ui.words import MINUS, number

if TYPE_CHECKING:
    from surveyapp.analysis.expected import Expected, Line, Reason
    from surveyapp.analysis.value_doubts import Doubt

FINE = 100.0  # below this a rate is told to a tenth
SUMS = ("RSRP expected", "RSRP read", "expected", "ping expected")
ASIDES = ("assumed", "note")  # lines of a make-up that are sentences
_HYPHEN_MINUS = re.compile(r"(?<![\w.,)])-(?=\d)| - ")


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of a list: a term, its number with unit, a note; a `total` ends a sum."""

    term: str
    number: str = ""
    note: str = ""
    total: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A list of figures under its heading."""

    title: str
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class ReasonView:
    """One likely reason: in a few words, how sure, in a sentence, what to do, the figures.

    A `counted` one lies in what is expected already.
    """

    title: str
    how_sure: str
    words: str
    next_step: str = ""
    counted: bool = False
    told: str = ""
    evidence: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class DoubtView:
    """A doubt about one entry in full, how to settle it, and in short for a row."""

    words: str
    settle: str
    short: str
    by_sheet: bool = False  # the entry sheet says so itself, or cannot help it yet
    accepted: bool = False  # the surveyor has looked at it


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing judged: `verdict` in a few words, `headline` with its chief cause, `words` in a
    sentence, and all behind it. `asked` heads the reasons not `counted` yet, `held` the others.

    `off` is how unusual it is: 0 as expected, 1 rather, 2 unusually; negative where it is low.
    """

    key: str
    label: str
    verdict: str
    words: str
    strip: Expectation
    ends: tuple[str, str]
    off: int = 0
    headline: str = ""
    asked: str = ""
    held: str = ""
    reasons: tuple[ReasonView, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()

    @property
    def told(self) -> bool:
        """Whether there is something to tell: a value against an expectation."""
        return self.strip.measured is not None and self.strip.expected is not None

    @property
    def has_strip(self) -> bool:
        """Whether there is anything for a strip to show: a value, or an expectation."""
        return self.strip.measured is not None or self.strip.expected is not None

    @property
    def says(self) -> str:
        """The headline; where nothing could be expected, the sentence that says why."""
        if self.strip.expected is None:
            return self.words
        return self.headline or self.verdict

    @property
    def sections(self) -> tuple[tuple[str, tuple[ReasonView, ...]], ...]:
        """The reasons under their headings, that with the first reason first."""
        parts = [
            (title, tuple(one for one in self.reasons if one.counted is counted))
            for title, counted in ((self.asked, False), (self.held, True))
        ]
        if self.reasons and self.reasons[0].counted:
            parts.reverse()
        return tuple(part for part in parts if part[1])

    @property
    def brief(self) -> str:
        """What is judged and its verdict, for a row: '5G leg: rather weak'."""
        return f"{self.label}: {lowered(self.verdict)}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """All that is judged of one reading or run, and what is doubted about it."""

    matters: tuple[Matter, ...] = ()
    doubts: tuple[DoubtView, ...] = ()

    def of(self, key: str) -> Matter | None:
        """The matter of this key, else the first; None where there is none."""
        found = (matter for matter in self.matters if matter.key == key)
        return next(found, self.matters[0] if self.matters else None)


def strip_of(value: Expected, before: str = "") -> Expectation:
    """The strip of a value, with its numbers in words: 'RSRP −86 dBm, expected −80 ± 14'."""
    name = f"{before} {value.quantity}".strip()
    read = quantity_text(value.measured, value.unit) if value.measured is not None else "not noted"
    words = f"{name} {read}"
    if value.mean is not None:
        words += f", expected {with_minus(value.told)}"
    return Expectation(
        value.low, value.high, value.mean, value.measured, words, value.band(1.0), value.band(2.0)
    )  # fmt: skip


def ends_of(value: Expected) -> tuple[str, str]:
    """The ends of a strip in words; a nought needs no unit beside the other end's."""
    low = quantity_text(value.low, value.unit) if value.low else "0"
    return low, quantity_text(value.high, value.unit)


def reason_views(reasons: Sequence[Reason]) -> tuple[ReasonView, ...]:
    """Reasons in order."""
    return tuple(
        ReasonView(
            title=capital(reason.title),
            how_sure=with_minus(reason.how_sure),
            words=with_minus(reason.words),
            next_step=reason.next_step,
            counted=reason.counted,
            told=with_minus(reason.told),
            evidence=figures(reason.evidence),
        )
        for reason in reasons
    )


def figures(lines: Iterable[Line], sums: Sequence[str] = ()) -> tuple[Figure, ...]:
    """Lines of a make-up, `sums` among them; sentences are left out, see `asides`."""
    return tuple(
        Figure(
            term=capital("none of the listed sectors" if line.term == NONE_NAME else line.term),
            number="" if line.number is None else quantity_text(line.number, line.unit),
            note=with_minus(line.note),
            total=line.term in sums,
        )
        for line in lines
        if line.term not in ASIDES
    )


def asides(lines: Iterable[Line]) -> tuple[str, ...]:
    """What a make-up assumed and noted, as sentences."""
    said = (line.note for line in lines if line.term in ASIDES)
    return tuple(sentence(with_minus(text)) for text in said if text)


def doubt_views(
    doubts: Iterable[Doubt], row_id: str, accepted: Collection[str]
) -> tuple[DoubtView, ...]:
    """The doubts about one row, each once."""
    from surveyapp.analysis.accepted_doubts import is_accepted
    from surveyapp.analysis.value_doubts import DoubtKind

    found = (
        DoubtView(
            words=with_minus(doubt.words),
            settle=with_minus(doubt.settle),
            short=capital(doubt.kind.value) + "."
            if doubt.kind is DoubtKind.NOT_SETTLED
            else with_minus(doubt.words),
            by_sheet=doubt.kind in (DoubtKind.RANGE, DoubtKind.NOT_SETTLED),
            accepted=is_accepted(doubt, accepted),
        )
        for doubt in doubts
        if doubt.row_id == row_id
    )
    return tuple(dict.fromkeys(found))


def quantity_text(value: float, unit: str) -> str:
    """'−86.5 dBm', '1480 Mbit/s', '12°', '67 %'."""
    if unit == "deg":
        return f"{number(value, 0)}°"
    coarse = unit in ("%", "km") or (unit == "Mbit/s" and abs(value) >= FINE)
    return f"{number(value, 0 if coarse else 1)} {unit}".strip()


def with_minus(text: str) -> str:
    """The same with true minus signs, and a space before percent signs."""
    signed = _HYPHEN_MINUS.sub(lambda found: found[0].replace("-", MINUS), text)
    return re.sub(r"(?<=\d)%", " %", signed)


def capital(text: str) -> str:
    """The same with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def lowered(text: str) -> str:
    """The same as it stands within a sentence; 'No RSRP' keeps its second word."""
    return text[:1].lower() + text[1:]


def sentence(text: str) -> str:
    """A clause as a sentence of its own."""
    return capital(text) + ("" if text.endswith((".", "!", "?")) else ".")
