"""Values that have their word beside them: before, behind, or in rows of words and numbers."""

from __future__ import annotations

from surveyapp.exchange import line_words as words
from surveyapp.exchange.line_tokens import MINUS_SIGNS, Kind
from surveyapp.exchange.line_view import LineView, Value, scaled
from surveyapp.exchange.line_words import LEVELS, SPEEDS, Name


class LabelledValues(LineView):
    """The rules for them; each takes what stands at `self._at` and says whether it did."""

    def _values_first(self) -> bool:
        """'1480 down 96 up', '0 % loss', '14 dB sinr': each value before its word.

        Only where the run ends with a word: in 'b20 10 rsrp -86' the 10 is no RSRP.
        """
        taken: list[tuple[Name, Value, int, int]] = []
        at = self._at
        while (one := self._value_and_label(at)) is not None:
            taken.append((*one[:2], at, one[2]))
            at = one[2]
            at += self._text(at) in (",", "/")
        parted = self._text(at - 1) == ","  # 'up, 17 ms': the number begins something else
        if not taken or (not parted and self._begins_number(at)) or self._amid_unread(taken[-1][3]):
            return False
        for name, value, first, end in taken:
            self._take(name, value, end, first=first)
        return True

    def _value_and_label(self, at: int) -> tuple[Name, Value, int] | None:
        """A speed, or a level with its unit, and the label behind it."""
        if not self._is(at, Kind.NUMBER):
            return None
        unit = self._unit(at + 1)
        label = self._match(at + 1 if unit is None else unit[2], words.LABELS)
        if label is None or label[1] not in (*SPEEDS, *LEVELS):
            return None
        key, name = label
        fits = name in SPEEDS if unit is None else name in unit[0]
        number = self._number(at, name) if fits else None
        return None if number is None else (name, number[0], number[1] + len(key))

    def _begins_number(self, at: int) -> bool:
        """Whether the label before `at` has its number there after all, and not '1480/96'."""
        while self._text(at) in words.JOINERS:
            at += 1
        return self._is(at, Kind.NUMBER) and self._text(at + 1) not in words.OVER

    def _labels_in_a_row(self) -> bool:
        """'down/up 1480/96', 'rsrp/rsrq/sinr -86/-12.5/14'."""
        names: list[Name] = []
        at = self._at
        while (found := self._match(at, words.LABELS)) is not None:
            names.append(found[1])
            at += len(found[0])
            if self._text(at) != "/":
                break
            at += 1
        if len(names) < 2:
            return False
        at += self._text(at) in words.JOINERS
        made: list[tuple[Name, Value, int, int]] = []
        for name in names:
            at += bool(made) and self._text(at) in words.LIGHT_MARKS
            number = self._number(at, name)
            if number is None:
                return False
            made.append((name, number[0], at, number[1]))
            at = number[1]
        factor = self._factor_for_all(made)
        for position, (name, value, first, end) in enumerate(made):
            if factor != 1.0 and end == first + 1:
                value = scaled(float(value), factor)
            self._take(name, value, end, first=self._at if position == 0 else first)
        return True

    def _factor_for_all(self, made: list[tuple[Name, Value, int, int]]) -> float:
        """The factor of a unit that stands once, behind the last number."""
        name, _, first, end = made[-1]
        unit = self._unit(first + 1) if end > first + 1 else None
        bare = all(after == before + 1 for _, _, before, after in made[:-1])
        alike = unit is not None and all(other in unit[0] for other, _, _, _ in made)
        return unit[1] if unit is not None and bare and alike and name in unit[0] else 1.0

    def _labelled(self) -> bool:
        """'rsrp -86', 'ping: 17 ms', 'arfcn=2079167'."""
        found = self._match(self._at, words.LABELS)
        if found is None:
            return False
        key, name = found
        at = self._at + len(key)
        joiners = words.JOINERS
        if name in words.NEGATIVE_UNLESS_TOLD:
            joiners = joiners | set(MINUS_SIGNS)
        while self._text(at) in joiners:
            at += 1
        number = self._number(at, name)
        if number is None or (key[0] in words.EVERYDAY and self._amid_unread(number[1])):
            return False
        return self._take(name, number[0], number[1], rat=words.RAT_OF_LABEL.get(" ".join(key)))
