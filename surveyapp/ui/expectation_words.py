"""What was expected of a reading or a speed run, as rows and sheets tell it. No Kivy here.

A `Verdict` holds one `Matter` for each thing that can be judged: the legs of a reading, the
download and the ping of a run. Rows show its strip and its first reasons, the sheet all of it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.ui.answer_words import Expectation
from surveyapp.ui.words import MINUS, number

if TYPE_CHECKING:
    from surveyapp.analysis.expected import Expected, Line, Reason
    from surveyapp.analysis.value_doubts import Doubt

ORDINARY, UNUSUAL = 1.0, 2.0  # standard deviations, as the analysis tells them
SURE = 0.99  # a reason that needs no 'if so'
SOME = 0.995  # of a rate; a cause that leaves more takes nothing
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
    """One likely reason, and the figures behind it, what it does to the value first."""

    words: str
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
    """One thing judged: `verdict` in a few words, `words` in a sentence, and all behind it.

    `off` is how unusual it is: 0 as expected, 1 rather, 2 unusually; negative where it is low.
    """

    key: str
    label: str
    verdict: str
    words: str
    strip: Expectation
    ends: tuple[str, str]
    off: int = 0
    asked: str = ""
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
        """The verdict; where nothing could be expected, the sentence that says why."""
        return self.verdict if self.strip.expected is not None else self.words

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
        mean, sigma = number(value.mean, 0), number(value.sigma or 0.0, 0)
        words += f", expected {mean} ± {sigma} {value.unit}"
    return Expectation(
        value.low, value.high, value.mean, value.sigma or 0.0, value.measured, words
    )  # fmt: skip


def ends_of(value: Expected) -> tuple[str, str]:
    """The ends of a strip in words."""
    return quantity_text(value.low, value.unit), quantity_text(value.high, value.unit)


def off_of(value: Expected) -> int:
    """How far a value lies off: 0, 1 or 2, negative below what was expected."""
    sigmas = value.sigmas
    if sigmas is None or abs(sigmas) <= ORDINARY:
        return 0
    size = 2 if abs(sigmas) > UNUSUAL else 1
    return size if sigmas > 0 else -size


def reason_views(reasons: Sequence[Reason], as_rate: bool) -> tuple[ReasonView, ...]:
    """Reasons in order; of a rate the effect is the share that is left."""
    return tuple(
        ReasonView(with_minus(reason.words), _evidence(reason, as_rate)) for reason in reasons
    )


def _evidence(reason: Reason, as_rate: bool) -> tuple[Figure, ...]:
    """What a reason does to the value, then what speaks for it; the same number is told once."""
    effect, lines = _effect(reason, as_rate), reason.evidence
    first = lines[0] if lines else None
    if effect and not as_rate and first is not None and first.number == reason.effect:
        return (replace(effect[0], note=with_minus(first.note)), *figures(lines[1:]))
    return (*effect, *figures(lines))


def _effect(reason: Reason, as_rate: bool) -> tuple[Figure, ...]:
    if as_rate:
        left = f"{number(100.0 * reason.effect, 0)} %"
        return (Figure("Brings the rate down to", left),) if reason.effect < SOME else ()
    change = f"{reason.effect:+.0f} dB".replace("-", MINUS)
    sure = reason.probability > SURE
    return (Figure("Moves the level by" if sure else "Moves the level, if so, by", change),)


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
