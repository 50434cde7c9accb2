"""A typed line cut into words, numbers and marks, each with its place in the text.

Numbers are read in both styles: '2.4' and '2,4', '1 point 5' and 'minus 86' as dictated,
'1.480,5' and '1,480.5' with their thousands. What could be either ('1,480'), and what only
looks like a number (a time, a date, a range '80-90'), is kept whole and left unread.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import Enum

MINUS_SIGNS = "-−–"
_SPOKEN_MINUS = frozenset({"minus", "neg", "negative"})
_SPOKEN_POINT = frozenset({"point", "comma", "dot"})
_SPOKEN_DIGITS = {
    word: float(value)
    for value, word in enumerate(
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    )
}
# Each branch takes at least one character and none can be taken in two ways: linear time.
_TOKEN = re.compile(
    r"""
    (?P<quote>"[^"\n]*")
  | (?P<newline>\n)
  | (?P<number>(?:(?<![0-9%)])[-−–+])?[0-9]+(?:[.,:\-−–][0-9]+)*)
  | (?P<word>[^\W\d_]+(?:-[^\W\d_]+)*)
  | (?P<mark>\S)
    """,
    re.VERBOSE,
)
_BAND_LETTERS = frozenset("nb")
_GENERATION = re.compile(r"(?<![^\W_])[45][gG](?![^\W_])")
_PLAIN = re.compile(r"[0-9]+")
_POINT = re.compile(r"[0-9]+\.[0-9]+")
_COMMA = re.compile(r"[0-9]+,[0-9]+")
_EITHER = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_COMMA_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+")
_POINT_THOUSANDS = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+")
_LIST = re.compile(r"[0-9]+(?:,[0-9]+){2,}")


class Kind(Enum):
    """What a token is; ODD is number-like but no one number."""

    WORD = "word"
    NUMBER = "number"
    ODD = "odd"
    QUOTE = "quote"
    MARK = "mark"
    NEWLINE = "newline"


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of the text from `start` to before `end`; words and marks are in lower case.

    `value` is a number's, without its sign; `sign` is '-', '+' or '' where none was given.
    """

    kind: Kind
    text: str
    start: int
    end: int
    value: float | None = None
    sign: str = ""

    def touches(self, after: Token) -> bool:
        """Whether the next token follows with no space between."""
        return self.end == after.start


def tokens_of(text: str) -> list[Token]:
    """All tokens of a text; every character that is no white space is in exactly one."""
    return _spoken(list(_cut(text)))


def spoken_digit(token: Token) -> float | None:
    """The value of 'zero' to 'ten' as a word; None for any other token."""
    return _SPOKEN_DIGITS.get(token.text) if token.kind is Kind.WORD else None


def _cut(text: str) -> Iterator[Token]:
    place = 0
    while place < len(text):
        generation = _GENERATION.match(text, place)
        if generation:
            yield Token(Kind.WORD, generation[0].lower(), *generation.span())
            place = generation.end()
            continue
        found = _TOKEN.match(text, place)
        if found is None:
            place += 1
            continue
        place = found.end()
        if found.lastgroup == "number":
            listed = text[max(found.start() - 1, 0)].lower() in _BAND_LETTERS
            yield from _numbers(found[0], found.start(), listed)
        else:
            yield Token(Kind(found.lastgroup), found[0].lower(), *found.span())


def _numbers(text: str, start: int, listed: bool) -> Iterator[Token]:
    """The number, the numbers of a list without spaces, or one odd token.

    `listed` where a comma can only part two numbers: behind a band's letter.
    """
    end = start + len(text)
    sign = "-" if text[0] in MINUS_SIGNS else "+" if text[0] == "+" else ""
    digits = text[1:] if sign else text
    value = None if listed and _COMMA.fullmatch(digits) else _value(digits)
    if value is not None:
        yield Token(Kind.NUMBER, digits, start, end, value, sign)
    elif _LIST.fullmatch(digits) or (listed and _COMMA.fullmatch(digits)):
        place = start + len(text) - len(digits)
        for number, part in enumerate(digits.split(",")):
            if number:
                yield Token(Kind.MARK, ",", place - 1, place)
            first = start if number == 0 else place
            yield Token(
                Kind.NUMBER, part, first, place + len(part), float(part), sign * (number == 0)
            )
            place += len(part) + 1
    else:
        yield Token(Kind.ODD, text, start, end)


def _value(digits: str) -> float | None:
    """The one number the digits can mean, else None."""
    if _PLAIN.fullmatch(digits) or _POINT.fullmatch(digits):
        return float(digits)
    if _COMMA.fullmatch(digits) and not _EITHER.fullmatch(digits):
        return float(digits.replace(",", "."))
    if _COMMA_THOUSANDS.fullmatch(digits):
        return float(digits.replace(",", ""))
    if _POINT_THOUSANDS.fullmatch(digits):
        return float(digits.replace(".", "").replace(",", "."))
    return None


def _spoken(cut: list[Token]) -> list[Token]:
    """'minus 86' and '12 point 5' made one number each."""
    made: list[Token] = []
    for token in cut:
        made.append(token)
        if token.kind is not Kind.NUMBER or token.sign:
            continue
        if len(made) >= 3 and _is_decimal(made[-3:]):
            whole, _, part = made[-3:]
            joined = f"{whole.text}.{part.text}"
            made[-3:] = [replace(whole, text=joined, end=part.end, value=float(joined))]
        elif len(made) >= 2 and made[-2].kind is Kind.WORD and made[-2].text in _SPOKEN_MINUS:
            made[-2:] = [replace(token, start=made[-2].start, sign="-")]
    return made


def _is_decimal(three: list[Token]) -> bool:
    whole, word, part = three
    return (
        word.kind is Kind.WORD
        and word.text in _SPOKEN_POINT
        and whole.kind is Kind.NUMBER
        and bool(_PLAIN.fullmatch(whole.text))
        and bool(_PLAIN.fullmatch(part.text))
    )
