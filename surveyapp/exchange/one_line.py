"""One line of typed, pasted or dictated text as a reading, a speed run, or both.

Words may come in any order and case, with or without spaces, with a decimal point or comma.
What was understood is told value by value with its place in the text, for review; what was
not is kept as the remark, never dropped. `grammar()` is the page for the surveyor.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any

from surveyapp.exchange.line_carriers import Grouping, carriers_of
from surveyapp.exchange.line_items import ItemReader
from surveyapp.exchange.line_tokens import Kind, Token, tokens_of
from surveyapp.exchange.line_view import Item, Value
from surveyapp.exchange.line_words import EDGE_MARKS, LIGHT_MARKS, OF_THE_RUN, Name
from surveyapp.model import Carrier, Mode, Rat, Streams

PROSE_WORDS = 3
_IN_PASSING = frozenset({Name.RAT, Name.BAND, Name.ROLE, Name.MODE})
MOST_CHARACTERS = 2_000
"""Text beyond is kept in the remark without being read."""


class Sheet(StrEnum):
    """Which entry sheets the line fills."""

    READING = "reading"
    SPEED_RUN = "speed run"
    BOTH = "both"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Understood:
    """One value and where it stands: `text[start:end]`.

    `name` is the model's field; `carrier` the index of the carrier it belongs to, else None.
    `guessed` where only its place told what it is: look twice.
    """

    name: str
    value: Value
    start: int
    end: int
    carrier: int | None = None
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of the text, from `start` to before `end`."""

    start: int
    end: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Speeds:
    """The values of a speed run, named as the model's are; None where the line has none."""

    down_mbps: float | None = None
    up_mbps: float | None = None
    ping_ms: float | None = None
    jitter_ms: float | None = None
    loss_pct: float | None = None
    server_place: str = ""
    streams: Streams | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """What a line says. Every character that is no white space lies in exactly one span of
    `understood`, `rest` or `marks` (punctuation and little words between understood values).
    """

    text: str
    mode: Mode | None = None
    carriers: tuple[Carrier, ...] = ()
    speeds: Speeds = Speeds()
    understood: tuple[Understood, ...] = ()
    rest: tuple[Span, ...] = ()
    marks: tuple[Span, ...] = ()

    @property
    def sheet(self) -> Sheet:
        """Which sheets it fills; a mode alone fills a reading."""
        reading = self.mode is not None or bool(self.carriers)
        if self.speeds != Speeds():
            return Sheet.BOTH if reading else Sheet.SPEED_RUN
        return Sheet.READING if reading else Sheet.NONE

    @property
    def remark(self) -> str:
        """All that was not understood, in its order."""
        return " ".join(self.text[span.start : span.end] for span in self.rest)


def read_line(text: str) -> Line:
    """Read a line; never raises, since whatever is not understood is kept as `rest`."""
    tokens = tokens_of(text[:MOST_CHARACTERS])
    reader = ItemReader(text, tokens)
    grouping = Grouping(reader.items)
    others, repeated = _first_of_each(reader.items)
    refused = [*grouping.left, *repeated]
    kept = [item for item in reader.items if not any(item is other for other in refused)]
    rest, marks = _unread(tokens, kept, reader.breaks)
    if len(text) <= MOST_CHARACTERS and _is_prose(kept, rest, text):
        return Line(text=text, rest=(Span(tokens[0].start, len(text.rstrip())),))
    if text[MOST_CHARACTERS:].strip():
        rest.append(Span(MOST_CHARACTERS, len(text)))
    carriers = carriers_of(grouping.groups)
    return Line(
        text=text,
        mode=_mode(others, carriers),
        carriers=carriers,
        speeds=_speeds(others),
        understood=tuple(_understood(item, tokens, grouping) for item in kept),
        rest=tuple(rest),
        marks=tuple(marks),
    )


def _is_prose(kept: list[Item], rest: list[Span], text: str) -> bool:
    """Whether a line is a sentence that names a band or 5G in passing: 'lost 5G on the bridge'."""
    unread = sum(len(text[span.start : span.end].split()) for span in rest)
    return unread >= PROSE_WORDS and all(item.name in _IN_PASSING for item in kept)


def _first_of_each(items: list[Item]) -> tuple[dict[Name, Item], list[Item]]:
    """Mode and speed values by name, and those given a second time."""
    first: dict[Name, Item] = {}
    again: list[Item] = []
    for item in items:
        if item.name not in OF_THE_RUN and item.name is not Name.MODE:
            continue
        if item.name in first:
            again.append(item)
        else:
            first[item.name] = item
    return first, again


def _speeds(items: dict[Name, Item]) -> Speeds:
    names = {field.name for field in fields(Speeds)}
    values: dict[str, Any] = {
        str(name): item.value for name, item in items.items() if name in names
    }
    if "streams" in values:
        values["streams"] = Streams(values["streams"])
    return Speeds(**values)


def _mode(items: dict[Name, Item], carriers: tuple[Carrier, ...]) -> Mode | None:
    """As said; else NSA where both radios are there, and LTE where it is alone."""
    if Name.MODE in items:
        return Mode(str(items[Name.MODE].value))
    rats = {carrier.rat for carrier in carriers}
    if rats == {Rat.NR, Rat.LTE}:
        return Mode.NSA
    return Mode.LTE if rats == {Rat.LTE} else None


def _understood(item: Item, tokens: list[Token], grouping: Grouping) -> Understood:
    carrier = next(
        (
            index
            for index, group in enumerate(grouping.groups)
            if any(item is own for own in group.items.values())
        ),
        None,
    )
    first, last = tokens[item.first], tokens[item.last]
    return Understood(
        str(item.name), item.value, first.start, last.end, carrier=carrier, guessed=item.guessed
    )


def _unread(
    tokens: list[Token], kept: list[Item], breaks: set[int]
) -> tuple[list[Span], list[Span]]:
    """Runs of tokens that no item holds: words for the remark, or marks alone."""
    held = {at for item in kept for at in range(item.first, item.last + 1)}
    rest: list[Span] = []
    marks: list[Span] = []
    run: list[int] = []
    for at in range(len(tokens) + 1):
        if at < len(tokens) and at not in held:
            run.append(at)
            continue
        light, words = _parted(run, tokens, breaks) if kept else ([], run)
        marks += [Span(tokens[place].start, tokens[place].end) for place in light]
        if words:
            rest.append(Span(tokens[words[0]].start, tokens[words[-1]].end))
        run = []
    return rest, marks


def _parted(run: list[int], tokens: list[Token], breaks: set[int]) -> tuple[list[int], list[int]]:
    """Marks alone, and what is for the remark: all between its first and its last word."""

    def weightless(place: int, marks: frozenset[str]) -> bool:
        token = tokens[place]
        return place in breaks or token.kind is Kind.NEWLINE or token.text in marks

    if all(weightless(place, LIGHT_MARKS) for place in run):
        return run, []
    inner = [at for at, place in enumerate(run) if not weightless(place, EDGE_MARKS)]
    first, last = inner[0], inner[-1] + 1
    return [*run[:first], *run[last:]], run[first:last]
