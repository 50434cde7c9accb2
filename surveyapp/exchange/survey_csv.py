"""Rows of a survey as one table of comma-separated values (RFC 4180), and back.

Every kind of row shares the table: the column `row` names the kind, the others are the fields
of the model, whose names end in their unit. A reading or sector takes one line a carrier. A
text that a spreadsheet would run as a formula gets an apostrophe in front, which reading takes
off again. Reading also takes semicolons, tabs, and decimal commas.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import partial
from itertools import chain
from operator import attrgetter
from pathlib import Path
from typing import Any, NamedTuple

from surveyapp.errors import InvalidValue
from surveyapp.exchange.content import Brought, Content, Gatherer, whole_file
from surveyapp.exchange.files import refuse_larger, refused
from surveyapp.exchange.plain_rows import ROW_KINDS, Field, fields_of, from_plain, time_text
from surveyapp.exchange.without_pictures import brought_without_photos
from surveyapp.model import Row

KIND = "row"
ITEM = "carrier_"  # how the columns of a nested item begin
RUN_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
LONGEST_CELL = 100_000
MOST_BYTES = 64_000_000
MOST_LINES = 500_000
_MAY_NEED_A_GUARD = frozenset((*RUN_AS_FORMULA, "'"))
_Writer = Callable[[Any], str]


def columns() -> tuple[str, ...]:
    """The table's columns: the kind, then the fields of all kinds as they first come."""
    kinds = ROW_KINDS.values()
    plain = (field.name for kind in kinds for field in fields_of(kind) if field.nested is None)
    items = (
        f"{ITEM}{item.name}"
        for kind in kinds
        for field in fields_of(kind)
        if field.nested is not None
        for item in fields_of(field.nested)
    )
    return tuple(dict.fromkeys(chain((KIND,), plain, items)))


def write_survey_csv(content: Content, path: Path) -> None:
    """Write the rows as a table in UTF-8. Raises NotebookError where the disk refuses."""
    with (
        whole_file(path) as temporary,
        open(temporary, "w", encoding="utf-8", newline="") as file,
    ):
        table = csv.writer(file)
        table.writerow(columns())
        layouts = {kind: _layout_of(name, kind) for name, kind in ROW_KINDS.items()}
        table.writerows(line for row in content.rows for line in layouts[type(row)].lines(row))


class _Layout(NamedTuple):
    """Where the fields of a kind stand in a line: `start` is a line with only the kind's name;
    `places` are columns and how their values are written, `item_places` those of carriers."""

    start: list[Any]
    values: Callable[[Any], tuple[Any, ...]]
    places: tuple[tuple[int, _Writer | None], ...]
    nested: Callable[[Any], tuple[Any, ...]] | None
    item_values: Callable[[Any], tuple[Any, ...]]
    item_places: tuple[tuple[int, _Writer | None], ...]

    def lines(self, row: Row) -> Iterator[list[Any]]:
        """The lines of a row: one, or one for each carrier."""
        cells = _filled(self.start, self.places, self.values(row))
        items = self.nested(row) if self.nested is not None else ()
        if not items:
            yield cells
        for item in items:
            yield _filled(cells, self.item_places, self.item_values(item))


def _layout_of(name: str, kind: type[Row]) -> _Layout:
    order = {column: place for place, column in enumerate(columns())}
    plain = [field for field in fields_of(kind) if field.nested is None]
    nested = next((field for field in fields_of(kind) if field.nested is not None), None)
    items = fields_of(nested.nested) if nested and nested.nested else ()
    start: list[Any] = [""] * len(order)
    start[order[KIND]] = name
    return _Layout(
        start=start,
        values=attrgetter(*(field.name for field in plain)),
        places=tuple((order[field.name], _writer_of(field)) for field in plain),
        nested=attrgetter(nested.name) if nested else None,
        item_values=attrgetter(*(item.name for item in items)) if items else tuple,
        item_places=tuple((order[f"{ITEM}{item.name}"], _writer_of(item)) for item in items),
    )


def _writer_of(field: Field) -> _Writer | None:
    """How a value is written; None where the csv module does it as well: numbers, choices."""
    if field.held is datetime:
        return time_text
    return guarded if field.held is str else None


def _filled(
    start: list[Any], places: tuple[tuple[int, _Writer | None], ...], values: tuple[Any, ...]
) -> list[Any]:
    """A copy of a line with the recorded values in their places."""
    cells = start.copy()
    for (place, write), value in zip(places, values, strict=True):
        if value is not None:
            cells[place] = value if write is None else write(value)
    return cells


def guarded(text: str) -> str:
    """The text with an apostrophe where a spreadsheet would run it, or take one off itself."""
    if not text or text[0] not in _MAY_NEED_A_GUARD:
        return text
    return f"'{text}" if text.lstrip("'").startswith(RUN_AS_FORMULA) else text


def unguarded(text: str) -> str:
    """The text without the apostrophe that `guarded` put in front."""
    return text[1:] if text.startswith("'") and guarded(text[1:]) != text[1:] else text


def is_survey_csv(path: Path) -> bool:
    """Whether the table's first column is that of this program's rows."""
    with open(path, encoding="utf-8-sig", errors="replace", newline="") as file:
        return file.read(len(KIND) + 1).rstrip(',;\t"') == KIND


class _Gathered(NamedTuple):
    """The lines of one row: where it began, its cells, and its carriers."""

    line: int
    cells: dict[str, str]
    items: list[dict[str, str]]


def read_survey_csv(path: Path, workspace: Path) -> Brought:
    """The rows of such a table. Raises FormatError for a file that is none."""
    gatherer: Gatherer[Row] = Gatherer(path)
    for gathered in _gathered(path):
        gatherer.take(f"line {gathered.line}", partial(_row, gathered))
    return brought_without_photos(gatherer)


def _gathered(path: Path) -> list[_Gathered]:
    """Lines that belong to one row, brought together, in the order of their first line."""
    found: dict[tuple[str, str], _Gathered] = {}
    previous: tuple[str, str] | None = None
    for line, cells in _table(path):
        held = {name: unguarded(text) for name, text in cells.items()}
        item = {
            name.removeprefix(ITEM): held.pop(name) for name in list(held) if name.startswith(ITEM)
        }
        key = (held.get(KIND, ""), held.get("id") or f"line {line}")
        item = item if any(item.values()) else {}
        if key in found and item and key == previous:
            found[key].items.append(item)
        else:
            key = key if key not in found else (*key[:1], f"{key[1]} again on line {line}")
            found[key] = _Gathered(line, held, [item] if item else [])
        previous = key
    return list(found.values())


def _table(path: Path) -> Iterator[tuple[int, Mapping[str, str]]]:
    """Line numbers and cells of a table whose delimiter is told by its head."""
    refuse_larger(path, MOST_BYTES, "send a bundle instead")
    csv.field_size_limit(LONGEST_CELL)
    try:
        with open(path, encoding="utf-8-sig", newline="") as file:
            head = file.readline()
            delimiter = max(",;\t", key=head.count)
            names = next(csv.reader([head], delimiter=delimiter), [])
            if KIND not in names:
                raise refused(path, f"is no table of a survey: it has no column '{KIND}'")
            table = csv.reader(file, delimiter=delimiter, strict=True)
            for count, cells in enumerate(table, start=1):
                if count > MOST_LINES:
                    raise refused(path, f"holds more than {MOST_LINES:,} lines: send a bundle")
                yield table.line_num + 1, dict(zip(names, cells, strict=False))
    except UnicodeDecodeError as error:
        raise refused(path, "is not in UTF-8: save it as UTF-8") from error
    except csv.Error as error:
        raise refused(path, f"is no table that can be read ({error})") from error


def _row(gathered: _Gathered) -> Row:
    made = ROW_KINDS.get(gathered.cells.get(KIND, ""))
    if made is None:
        raise InvalidValue(f"'{gathered.cells.get(KIND, '')[:40]}' is no kind of row")
    held: dict[str, Any] = dict(gathered.cells)
    nested = next((field.name for field in fields_of(made) if field.nested), None)
    if nested:
        held[nested] = gathered.items
    row: Row = from_plain(made, held, texts=True)
    return row
