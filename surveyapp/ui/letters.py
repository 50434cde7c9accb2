"""Which font has a text's letters: decided once a text, by the fonts' own tables. No Kivy here.

Our font has the letters of western Europe; names such as 'Řehoř' or 'Київ' need another one, or
boxes would stand for their letters. Source: OpenType specification 1.9, "cmap", formats 4 and 12.
"""

from __future__ import annotations

import struct
import unicodedata
from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

REMEMBERED = 4096  # texts
UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})  # categories that draw nothing of their own
KEPT = "\n\t"
VARIATIONS = range(0xFE00, 0xFE10)  # ask for another look of the sign before


class Letters(NamedTuple):
    """The letters of a font as ranges, both ends included, in order."""

    first: tuple[int, ...]
    last: tuple[int, ...]

    def has(self, letter: str) -> bool:
        """Whether the font draws this letter."""
        code = ord(letter)
        at = bisect_right(self.first, code) - 1
        return at >= 0 and code <= self.last[at]


def letters_of(path: Path) -> Letters:
    """The letters of a TrueType or OpenType font."""
    data = path.read_bytes()
    tables = struct.unpack_from(">H", data, 4)[0]
    records = (struct.unpack_from(">4sIII", data, 12 + 16 * nth) for nth in range(tables))
    start = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    subtables = sorted(_subtables(data, start))
    ranges = sorted(_ranges(data, subtables[-1][1]))
    return Letters(tuple(low for low, _ in ranges), tuple(high for _, high in ranges))


def _subtables(data: bytes, start: int) -> list[tuple[int, int]]:
    """Format and place of those that map Unicode; of formats 4 and 12 the latter says more."""
    count = struct.unpack_from(">H", data, start + 2)[0]
    found = []
    for nth in range(count):
        platform, encoding, offset = struct.unpack_from(">HHI", data, start + 4 + 8 * nth)
        kind = struct.unpack_from(">H", data, start + offset)[0]
        if kind in (4, 12) and (platform, encoding) in ((0, 3), (0, 4), (3, 1), (3, 10)):
            found.append((kind, start + offset))
    return found


def _ranges(data: bytes, at: int) -> list[tuple[int, int]]:
    if struct.unpack_from(">H", data, at)[0] == 12:
        count = struct.unpack_from(">I", data, at + 12)[0]
        groups = (struct.unpack_from(">III", data, at + 16 + 12 * nth) for nth in range(count))
        return [(low, high) for low, high, _ in groups]
    count = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends = struct.unpack_from(f">{count}H", data, at + 14)
    starts = struct.unpack_from(f">{count}H", data, at + 16 + 2 * count)
    return [(low, high) for low, high in zip(starts, ends, strict=True) if low != 0xFFFF]


class Fonts:
    """Fonts by name, the favourite first; each is read when a text first asks for it."""

    def __init__(self, files: Sequence[tuple[str, Path]]) -> None:
        self._files = [(name, path) for name, path in files if path.is_file()]
        self._letters = lru_cache(maxsize=len(self._files))(letters_of)
        self.of = lru_cache(maxsize=REMEMBERED)(self._of)

    def _of(self, text: str) -> str:
        """The name of the first font that lacks the fewest of the text's letters."""
        if text.isascii():
            return self._files[0][0]
        wanted = {letter for letter in text if not letter.isspace()}
        fewest, best = len(wanted) + 1, self._files[0][0]
        for name, path in self._files:
            lacking = sum(not self._letters(path).has(letter) for letter in wanted)
            if lacking < fewest:
                fewest, best = lacking, name
            if not lacking:
                break
        return best


@lru_cache(maxsize=REMEMBERED)
def drawable(text: str) -> str:
    """The text without marks that have no look: turning marks, joiners, controls.

    They would be drawn as boxes, or turn the rest of a line around.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        letter
        for letter in text
        if letter in KEPT
        or (unicodedata.category(letter) not in UNSEEN and ord(letter) not in VARIATIONS)
    )
