"""One field of an entry sheet, and the judgement of what was typed into it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum

from surveyapp.ui.speech import tr
from surveyapp.ui.words import MINUS, number


class Kind(StrEnum):
    """How a field is filled: on the number pad, from choices, or as free text."""

    NUMBER = "number"
    CHOICE = "choice"
    TEXT = "text"


class Sign(StrEnum):
    """The sign of a number: set by the field, or free."""

    PLUS = "plus"
    MINUS = "minus"
    EITHER = "either"


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One thing to choose: what is kept, what is shown, and an icon."""

    value: str
    label: str
    icon: str = ""

    @property
    def said(self) -> str:
        """The label in the language in force; metres stay metres on a sheet."""
        return tr(self.label, False)


@dataclass(frozen=True, kw_only=True)
class Field:
    """A field by `name`, with the `label` and `unit` shown.

    Numbers: `sign`, `decimals` (0 for whole ones), and `low` to `high`, the range the quantity
    can have, both ends included. `before` is written ahead of the value ('n' of n258).
    Of a text that `is_path` only the file's name is shown; one that `breaks` may be broken into
    lines at its strokes ('Europe/Helsinki').
    `doubted` gives one sentence on a value within the range that is none that exists.
    Choices: `choices`; `suggestions` are offered as chips above the pad or the keyboard, after
    them what `looked_up` gives: that is asked only while the cursor is in the field.
    `on_path` is whether Next comes by here; other fields are reached by a tap on them.
    """

    name: str
    label: str
    unit: str = ""
    kind: Kind = Kind.NUMBER
    sign: Sign = Sign.PLUS
    decimals: int = 0
    low: float | None = None
    high: float | None = None
    before: str = ""
    choices: tuple[Choice, ...] = ()
    suggestions: tuple[Choice, ...] = ()
    looked_up: Callable[[], tuple[Choice, ...]] | None = field(default=None, compare=False)
    doubted: Callable[[float], str] | None = field(default=None, compare=False)
    on_path: bool = True
    needed: bool = False
    section: str = ""
    hint: str = ""
    is_path: bool = False
    breaks: bool = False

    @property
    def offered(self) -> tuple[Choice, ...]:
        """What is offered while the cursor is here, each once."""
        more = self.looked_up() if self.looked_up is not None else ()
        known = {choice.value for choice in self.suggestions}
        return (*self.suggestions, *(choice for choice in more if choice.value not in known))

    def value(self, text: str) -> float | None:
        """The number that was typed, its sign set; None where nothing usable stands there."""
        try:
            return float(text.replace(MINUS, "-"))
        except ValueError:
            return None

    def shown(self, text: str) -> str:
        """What the sheet shows for what was typed."""
        if self.kind is Kind.CHOICE:
            return next((c.said for c in self.choices if c.value == text), text)
        if self.kind is Kind.NUMBER and text:
            return self.before + text.replace("-", MINUS)
        if self.is_path:
            return text.rpartition("/")[2]
        return text.replace("/", " / ") if self.breaks else text

    def problem(self, text: str) -> str:
        """One sentence where what was typed cannot be, else ''."""
        if not text.strip():
            return f"{self.label} is needed." if self.needed else ""
        if self.kind is not Kind.NUMBER:
            return ""
        value = self.value(text)
        if value is None:
            return f"{self.label} is not a number yet."
        too_low = self.low is not None and value < self.low
        too_high = self.high is not None and value > self.high
        if not too_low and not too_high:
            return self.doubted(value) if self.doubted is not None else ""
        return f"{self.label} {number(value, 6)} cannot be: {self.range_text()}."

    def range_text(self) -> str:
        """'−156 to −31 dBm', '0 dBm or more'."""
        unit = f" {self.unit}" if self.unit else ""
        if self.low is None or self.high is None:
            end = "at least" if self.high is None else "at most"
            return f"{end} {number(self.high if self.low is None else self.low, 6)}{unit}"
        return f"{number(self.low, 6)} to {number(self.high, 6)}{unit}"
