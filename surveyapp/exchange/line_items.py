"""What each word and number of a line means by itself, before carriers are told apart.

The reader walks the tokens once. Each rule looks at most a few tokens ahead, and either takes
some tokens as items or leaves the first of them unread.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from surveyapp.exchange import line_words as words
from surveyapp.exchange.line_labelled import LabelledValues
from surveyapp.exchange.line_tokens import Kind, Token, spoken_digit
from surveyapp.exchange.line_view import scaled
from surveyapp.exchange.line_words import SPEEDS, Name
from surveyapp.model import Rat

_NEXT_LEVEL = {Name.RSRP: (Name.RSRQ, -43.0, -3.0), Name.RSRQ: (Name.SINR, -23.0, 40.0)}
_RSRP_ALONE_DBM = (-156.0, -44.0)  # TS 38.133 clause 10.1.6, without its strongest steps


class ItemReader(LabelledValues):
    """Reads all items of one line when it is made."""

    def __init__(self, text: str, tokens: list[Token]) -> None:
        super().__init__(text, tokens)
        self._slashed = False
        rules: tuple[Callable[[], bool], ...] = (
            self._break, self._values_first, self._labels_in_a_row, self._labelled,
            self._band, self._sized, self._counted, self._choice, self._server, self._rates,
            self._with_unit, self._bare,
        )  # fmt: skip
        while self._at < len(tokens):
            if any(rule() for rule in rules):
                continue
            if not self._light(self._at):
                self._unread_at = self._at
            self._at += 1

    # Each rule takes what stands at self._at and says whether it did

    def _break(self) -> bool:
        token = self.tokens[self._at]
        if token.kind is not Kind.NEWLINE and token.text not in words.BREAKS:
            return False
        self.breaks.add(self._at)
        self._at += 1
        return True

    def _band(self) -> bool:
        """'n258', 'b20', 'B 20', 'band 20', 'band n258'."""
        at = self._at
        if self._text(at) == words.BAND_WORD:
            at += 1 + (self._text(at + 1) in words.JOINERS)
        letter = self._text(at)
        rat = words.BAND_LETTERS.get(letter)
        at += rat is not None
        token = self._token(at)
        if at == self._at or token is None or token.sign or self._glued(at, at + 1):
            return False
        raw = token.value if token.kind is Kind.NUMBER else spoken_digit(token)
        if raw is None or not raw.is_integer() or not 1 <= raw <= 512 or "." in token.text:
            return False
        if self._amid_unread(at + 1):
            return False
        written = f"{'n' if rat is Rat.NR else 'B' if rat else ''}{int(raw)}"
        return self._take(Name.BAND, written, at + 1, rat=rat)

    def _sized(self) -> bool:
        """'4x100', '4 x 100 MHz', '4 by 100', '100 MHz x 4': carriers of equal width."""
        width_first = self._unit(self._at + 1)
        if width_first is not None and self._text(width_first[2]) in words.TIMES:
            width, count = (
                self._number(self._at, Name.WIDTH),
                self._whole_number(width_first[2] + 1),
            )
            if width is None or count is None:
                return False
            self._take(Name.WIDTH, width[0], width[1])
            return self._take(Name.COUNT, count, self._at + 2)
        if self._text(self._at + 1) not in words.TIMES:
            return False
        count = self._whole_number(self._at)
        width = self._number(self._at + 2, Name.WIDTH)
        if count is None or width is None or self._unknown(width[1]):
            return False
        self._take(Name.COUNT, count, self._at + 2)
        return self._take(Name.WIDTH, width[0], width[1])

    def _counted(self) -> bool:
        """'4cc', '4 carriers'."""
        if self._text(self._at + 1) not in words.CARRIERS_WORDS:
            return False
        count = self._whole_number(self._at)
        return count is not None and self._take(Name.COUNT, count, self._at + 2)

    def _choice(self) -> bool:
        """A mode, a radio, a carrier's role, one stream or many, no loss."""
        if not self._whole_word(self._at):
            return False
        lossless = self._match(self._at, words.NO_LOSS)
        if lossless is not None:
            end = self._at + len(lossless[0])
            of_sight = self._text(end) == "of" or self._amid_unread(end)
            return not of_sight and self._take(Name.LOSS, lossless[1], end)
        for name, table in _CHOICES:
            found = self._match(self._at, table)
            if found is not None:
                return self._take(name, str(found[1]), self._at + len(found[0]))
        return False

    def _server(self) -> bool:
        """'server Porvoo', 'server "New Town 2"': the words up to a mark, number or label."""
        if self._text(self._at) != words.SERVER_WORD:
            return False
        at = self._at + 1
        while self._text(at) in words.JOINERS or self._text(at) == "in":
            at += 1
        quoted = self._token(at)
        if quoted is not None and quoted.kind is Kind.QUOTE and len(quoted.text) > 2:
            place = self.text[quoted.start + 1 : quoted.end - 1]
            return self._take(Name.SERVER, place, at + 1)
        end = at
        while self._is(end, Kind.WORD) and (end == at or self._unknown(end)):
            end += 1
        if end == at or not self._unknown(at):
            return False
        place = self.text[self.tokens[at].start : self.tokens[end - 1].end]
        return self._take(Name.SERVER, place, end)

    def _rates(self) -> bool:
        """'1480/96', '1480 over 96 Mbps': down and up, the unit for both."""
        again = any(item.name is Name.DOWN for item in self.items)
        if again or self._text(self._at + 1) not in words.OVER:
            return False
        down, up = self._number(self._at, Name.DOWN), self._number(self._at + 2, Name.UP)
        if down is None or up is None or self._amid_unread(up[1]):
            return False
        unit = self._unit(self._at + 3)
        told = unit is not None and Name.DOWN in unit[0]
        factor = unit[1] if unit is not None and told else 1.0
        self._slashed = True
        self._take(Name.DOWN, scaled(float(down[0]), factor), self._at + 2, guessed=not told)
        return self._take(Name.UP, up[0], up[1], guessed=not told)

    def _with_unit(self) -> bool:
        """'17 ms', '0 %', '27.75 GHz', '20 MHz', '-86 dBm': told by the unit."""
        if not self._is(self._at, Kind.NUMBER):
            return False
        unit = self._unit(self._at + 1)
        if unit is None:
            return False
        name = self._name_by_unit(unit[0], unit[1])
        number = self._number(self._at, name) if name else None
        if number is None or name is None:
            return False
        # 800 MHz may be a wide carrier as well as a frequency
        either = name is Name.FREQUENCY and float(number[0]) <= words.WIDEST_EVER_MHZ
        return self._take(name, *number, guessed=either)

    def _name_by_unit(self, names: frozenset[Name], factor: float) -> Name | None:
        if Name.FREQUENCY in names:
            value = self.tokens[self._at].value or 0.0
            return Name.WIDTH if value * factor <= words.WIDEST_MHZ else Name.FREQUENCY
        for name in (Name.PING, Name.JITTER, Name.DOWN, Name.UP):
            if name in names and all(item.name is not name for item in self.items):
                return name
        if names == {Name.RSRP} or names == {Name.LOSS}:
            return next(iter(names))
        previous = self._previous()
        follows = _NEXT_LEVEL.get(previous.name) if previous else None
        return follows[0] if follows and follows[0] in names else None

    def _bare(self) -> bool:
        """A number told by its place alone."""
        token = self.tokens[self._at]
        if token.kind is not Kind.NUMBER or self._glued(self._at, self._at + 1):
            return False
        if self._unknown(self._at + 1) or self._bytes(self._at + 1):
            return False
        name = self._name_by_place(token)
        number = self._number(self._at, name) if name else None
        if number is None or name is None:
            return False
        return self._take(name, *number, guessed=True)

    def _name_by_place(self, token: Token) -> Name | None:
        value = -(token.value or 0.0) if token.sign == "-" else token.value or 0.0
        previous = self._previous()
        if token.sign == "-" and _RSRP_ALONE_DBM[0] <= value <= _RSRP_ALONE_DBM[1]:
            return Name.RSRP
        if previous is None:
            return None
        if previous.name in _NEXT_LEVEL:
            name, low, high = _NEXT_LEVEL[previous.name]
            return name if low <= value <= high else None
        if token.sign:
            return None
        if previous.name in (Name.BAND, Name.RAT, Name.COUNT, Name.ROLE):
            return _size_or_channel(previous.name, value)
        return self._next_speed(previous.name)

    def _next_speed(self, name: Name) -> Name | None:
        """Down, up, ping, jitter, loss: the order all write them in, once it is plain."""
        if name not in SPEEDS[:-1] or not (self._slashed or name in (Name.PING, Name.JITTER)):
            return None
        return SPEEDS[SPEEDS.index(name) + 1]


_CHOICES: tuple[tuple[Name, Mapping[words.Words, str]], ...] = (
    (Name.MODE, words.MODES),
    (Name.ROLE, words.ROLES),
    (Name.RAT, words.RATS),
    (Name.STREAMS, words.STREAMS),
)


def _size_or_channel(after: Name, value: float) -> Name | None:
    if value in words.USUAL_WIDTHS_MHZ:
        return Name.WIDTH
    whole = value.is_integer() and value >= words.LEAST_BARE_CHANNEL
    return Name.CHANNEL if after is Name.RAT and whole else None
