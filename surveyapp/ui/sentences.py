"""Texts of the screen in another language, also those put together from parts. No Kivy here.

The rooms below the screen answer in English and know of no languages; sentences are made where
their values are. A catalogue's message may therefore hold named places in braces:
`Stop {number} has no position yet.` stands for that sentence with any number. Whatever comes to
the screen is known again by such a form, and its values move into the translation. A value is
translated in its turn, but for one that its place's name marks as the user's own words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

OWN_WORDS = frozenset(
    {"name", "site", "phone", "file", "title", "server", "street", "folder", "own"}
)
JOINTS = ("\n", " · ")  # what stands on both sides is always said by itself
KNOWN_AT_ONCE = 4096  # texts whose translation is remembered
LONGEST = 700  # letters; no sentence of the program is longer, and what was pasted may be

_PLACE = re.compile(r"\{(\w+)\}")
_ENDS = (re.compile(r"(?<=[.!?]) "), re.compile(r"(?<=[:;]) "))
_WORDS = re.compile(r"[a-z]{3,}")
_ANY = r".+?"
_NAME = r"(?:(?![,;:] ).)+?"
_PART = r"(?:(?![;:] |[.!?] [A-Z]).)+?"  # of a sentence
_KINDS = {  # what a place may hold, by its name; others hold a part of a sentence
    "n": r"\d+",
    "pci": r"\d+",
    "number": r"[−+\-]?\d(?:[\d.,]*\d)?(?: ?%)?|–",
    "clock": r"\d\d:\d\d",
    "rat": "5G|LTE|NR",
    "street": r"(?![a-z])" + _NAME,
    "before": r".*?",
    **dict.fromkeys(("what", "error", "own", "file", "folder", "title"), _ANY),
    **dict.fromkeys(("name", "site", "phone", "server", "change"), _NAME),
}


class Form(NamedTuple):
    """A message with places: how it is known again, and its translation."""

    surest: str  # the longest of its fixed parts
    fixed: int  # letters of all of them
    pattern: re.Pattern[str]
    said: str


class Sentences:
    """One language's messages, by which any text of the screen is said in it."""

    def __init__(self, messages: Mapping[str, str]) -> None:
        self._words = {text: said for text, said in messages.items() if not _PLACE.search(text)}
        forms = [_form(*pair) for pair in messages.items() if _PLACE.search(pair[0])]
        self._forms = sorted(forms, key=lambda form: -form.fixed)
        self.said = lru_cache(maxsize=KNOWN_AT_ONCE)(self._said)

    def _said(self, text: str) -> str:
        """The text in this language; what no message is known for stays as it is."""
        known = self._word(text)
        if known is not None:
            return known
        for joint in JOINTS:
            if joint in text:
                return joint.join(map(self.said, text.split(joint)))
        if len(text) > LONGEST:
            sentences = _ENDS[0].split(text)
            return " ".join(map(self.said, sentences)) if len(sentences) > 1 else text
        return self._formed(text) or self._ended(text) or self._split(text)

    def _ended(self, text: str) -> str:
        """A part of a sentence that stands at its end, before the full stop; else ''."""
        part = text.removesuffix(".")
        said = self._word(part) or self._formed(part) if part != text else None
        return f"{said}." if said else ""

    def _split(self, text: str) -> str:
        """Sentence by sentence; a list by its commas only where every part is known."""
        for end in _ENDS:
            parts = end.split(text)
            if len(parts) > 1:
                return " ".join(map(self.said, parts))
        parts = text.split(", ")
        said = [self.said(part) for part in parts] if len(parts) > 1 else parts
        unknown = any(a == b and _WORDS.search(a) for a, b in zip(parts, said, strict=True))
        return text if unknown else ", ".join(said)

    def _word(self, text: str) -> str | None:
        """A message without places, whatever the case of its first letter."""
        if text in self._words or not text:
            return self._words.get(text, text)
        other = self._words.get(text[0].swapcase() + text[1:])
        return other[0].upper() + other[1:] if other and text[0].isupper() else other

    def _formed(self, text: str) -> str | None:
        for form in self._forms:
            if form.surest in text:
                found = form.pattern.fullmatch(text)
                if found is not None:
                    values = found.groupdict().items()
                    return form.said.format_map(
                        {place: self._value(place, value) for place, value in values}
                    )
        return None

    def _value(self, place: str, value: str) -> str:
        return value if place.rstrip("0123456789") in OWN_WORDS else self.said(value)


def _form(message: str, said: str) -> Form:
    parts = _PLACE.split(message)
    fixed, places = parts[::2], parts[1::2]
    pattern = re.escape(fixed[0])
    for place, after in zip(places, fixed[1:], strict=True):
        kind = _KINDS.get(place.rstrip("0123456789"), _PART)
        pattern += f"(?P<{place}>{kind})" + re.escape(after)
    return Form(max(fixed, key=len), sum(map(len, fixed)), re.compile(pattern, re.DOTALL), said)
