"""A line's tokens as the rules look at them, and the items taken from them so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from surveyapp.exchange import line_words as words
from surveyapp.exchange.line_tokens import Kind, Token, spoken_digit
from surveyapp.exchange.line_words import Name
from surveyapp.model import Rat

Value = float | int | str
Found = TypeVar("Found")
_MOST_WORDS = 3


@dataclass(frozen=True, slots=True)
class Item:
    """A value of the line. `first` and `last` are its tokens; `guessed` by place alone."""

    name: Name
    value: Value
    first: int
    last: int
    segment: int
    guessed: bool = False
    rat: Rat | None = None


class LineView:
    """What stands where in a line; `items` and `breaks` (token indexes) grow as it is read."""

    def __init__(self, text: str, tokens: list[Token]) -> None:
        self.text = text
        self.tokens = tokens
        self.items: list[Item] = []
        self.breaks: set[int] = set()
        self._at = 0
        self._unread_at = -2

    def _token(self, at: int) -> Token | None:
        return self.tokens[at] if 0 <= at < len(self.tokens) else None

    def _text(self, at: int) -> str:
        token = self._token(at)
        return "" if token is None or token.kind is Kind.QUOTE else token.text

    def _is(self, at: int, kind: Kind) -> bool:
        token = self._token(at)
        return token is not None and token.kind is kind

    def _light(self, at: int) -> bool:
        return self._text(at) in words.LIGHT_MARKS

    def _match(
        self, at: int, table: Mapping[words.Words, Found]
    ) -> tuple[words.Words, Found] | None:
        """The longest entry of a table that stands at `at`."""
        for length in range(_MOST_WORDS, 0, -1):
            key = tuple(self._text(at + offset) for offset in range(length))
            if "" not in key and key in table:
                return key, table[key]
        return None

    def _whole_word(self, at: int) -> bool:
        """Whether no letter or digit touches the token's sides."""
        token = self.tokens[at]
        before, after = self._token(at - 1), self._token(at + 1)
        glued = (Kind.NUMBER, Kind.ODD, Kind.WORD)
        left = before is not None and before.touches(token) and before.kind in glued
        right = after is not None and token.touches(after) and after.kind in glued
        return not left and not right

    def _unknown(self, at: int) -> bool:
        """Whether a word no rule knows, or something odd, stands at `at`."""
        token = self._token(at)
        if token is None or token.kind not in (Kind.WORD, Kind.ODD, Kind.QUOTE):
            return False
        tables: tuple[Mapping[words.Words, object], ...] = (
            words.LABELS, words.RATS, words.ROLES, words.MODES, words.STREAMS, words.UNITS,
            words.NO_LOSS,
        )  # fmt: skip
        known = words.CARRIERS_WORDS | words.TIMES | words.OVER | words.LIGHT_MARKS
        known |= {words.BAND_WORD, words.SERVER_WORD, *words.BAND_LETTERS}
        return token.text not in known and not any(self._match(at, table) for table in tables)

    def _previous(self) -> Item | None:
        """The item just before this place, with nothing but light marks between."""
        if not self.items:
            return None
        last = self.items[-1]
        gap = range(last.last + 1, self._at)
        return last if all(self._light(at) for at in gap) else None

    def _take(
        self, name: Name, value: Value, end: int, *, first: int | None = None,
        guessed: bool = False, rat: Rat | None = None,
    ) -> bool:  # fmt: skip
        """Add an item from `first` (the present place) to before `end`, and move on."""
        first = self._at if first is None else first
        segment = len(self.breaks)
        self.items.append(Item(name, value, first, end - 1, segment, guessed, rat))
        self._at = end
        return True

    def _unit(self, at: int) -> tuple[frozenset[Name], float, int] | None:
        """Names the unit at `at` fits, its factor, and where it ends."""
        found = self._match(at, words.UNITS)
        if found is None:
            return None
        key, (names, factor) = found
        first = self.tokens[at]
        if key[0] in ("mb", "gb") and self.text[first.start : first.end].endswith("B"):
            return None  # bytes, or bits carelessly written: eight times apart
        return names, factor, at + len(key)

    def _bytes(self, at: int) -> bool:
        """Whether a rate in bytes stands at `at`."""
        key = tuple(self._text(at + offset) for offset in range(3))
        return key in words.UNITS and self._unit(at) is None

    def _number(self, at: int, name: Name) -> tuple[Value, int] | None:
        """The value of a field from the number at `at` and its unit, and where it ends."""
        token = self._token(at)
        if token is None:
            return None
        raw = token.value if token.kind is Kind.NUMBER else spoken_digit(token)
        if raw is None or (token.sign == "-" and name in words.NEVER_NEGATIVE):
            return None
        if self._bytes(at + 1):
            return None
        end = at + 1
        unit = self._unit(end)
        value = raw
        if unit is not None and name in unit[0]:
            value, end = scaled(raw, unit[1]), unit[2]
        elif self._glued(at, end):
            return None
        if token.sign == "-" or (not token.sign and name in words.NEGATIVE_UNLESS_TOLD):
            value = -value
        if name in words.WHOLE:
            return (int(value), end) if value.is_integer() and abs(value) < 2**31 else None
        return value, end

    def _glued(self, at: int, after: int) -> bool:
        """Whether a word or number follows with no space between: '86abc'."""
        token, following = self.tokens[at], self._token(after)
        if following is None or not token.touches(following):
            return False
        return following.kind in (Kind.WORD, Kind.NUMBER, Kind.ODD)

    def _whole_number(self, at: int) -> int | None:
        token = self._token(at)
        if token is None or token.sign:
            return None
        raw = token.value if token.kind is Kind.NUMBER else spoken_digit(token)
        return int(raw) if raw is not None and raw.is_integer() and 1 <= raw <= 999 else None

    def _amid_unread(self, end: int) -> bool:
        """Whether the word before this place and the one at `end` are both unread."""
        return self._unread_at == self._at - 1 and self._unknown(end)


def scaled(value: float, factor: float) -> float:
    """The value in the model's unit, without the dust of binary fractions."""
    return value if factor == 1.0 else round(value * factor, 9)
