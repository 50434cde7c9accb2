"""Rows between three forms: a dataclass of the model, a record of the tables, a journal's JSON.

Everything is read from the dataclasses of `surveyapp.model`: a field added there needs a new
step in schema.py and nothing here.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields
from operator import attrgetter
from types import NoneType
from typing import Any, NamedTuple, cast, get_args, get_origin, get_type_hints

from surveyapp.errors import InvalidValue, SurveyError
from surveyapp.model import (
    CompassCheck,
    Device,
    Photo,
    Preparation,
    Reading,
    Remark,
    Row,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store.photos import is_picture_name
from surveyapp.store.values import Stored, Taker, damaged, label_of, reader_for, taker_for


class Record(NamedTuple):
    """A row as its tables hold it: its columns, and its carriers' columns in order."""

    values: tuple[Stored, ...]
    nested: tuple[tuple[Stored, ...], ...] = ()

    def holds(self, other: Record) -> bool:
        """Whether an undeleted row says all that the other says, stamps apart."""
        here, there = self.values, other.values
        return here[3] is None and here[4:] == there[4:] and self.nested == other.nested


@dataclass(frozen=True, slots=True)
class Column:
    """One field of a dataclass: how it is taken in, and read out again."""

    name: str
    optional: bool
    take: Taker
    read: Callable[[Any], Any] | None
    default: Stored


@dataclass(frozen=True, slots=True)
class Reference:
    """A field that names another row. Owned rows are deleted with the row they name;
    of the others only the field is emptied."""

    field: str
    target: str
    owned: bool


@dataclass(frozen=True, slots=True)
class Nested:
    """The child table of a field that holds a tuple of plain dataclasses."""

    field: str
    made: type[Any]
    table: str
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """One kind of row. `order` is its natural order, as SQL terms."""

    made: type[Row]
    table: str
    word: str
    columns: tuple[Column, ...]
    names: tuple[str, ...]
    get_values: Callable[[Any], tuple[Any, ...]]
    references: tuple[Reference, ...]
    nested: Nested | None
    order: tuple[str, ...]

    def record(self, row: Row) -> tuple[Record, list[str]]:
        """The row's record and all that is wrong with it; only a faultless record is usable."""
        problems: list[str] = []
        values = _take(self.columns, self.get_values(row), problems, "")
        nested: list[tuple[Stored, ...]] = []
        if self.nested is not None:
            for count, item in enumerate(getattr(row, self.nested.field), start=1):
                if type(item) is not self.nested.made:
                    problems.append(f"carrier {count} is no {self.nested.made.__name__}")
                    continue
                held = [getattr(item, column.name) for column in self.nested.columns]
                nested.append(_take(self.nested.columns, held, problems, f"carrier {count}: "))
        _judge_together(row, problems)
        return Record(values, tuple(nested)), problems

    def row(self, record: Record) -> Row:
        """The dataclass a record stands for. Raises DamagedNotebook where it stands for none."""
        try:
            held = _read(self.columns, record.values)
            if self.nested is not None:
                made, columns = self.nested.made, self.nested.columns
                held[self.nested.field] = tuple(made(**_read(columns, i)) for i in record.nested)
            return self.made(**held)
        except (ValueError, TypeError, AttributeError) as error:
            raise damaged(
                f"A {self.word} of the notebook holds what it cannot ({error})"
            ) from error

    def json(self, record: Record) -> str:
        """The whole row as the journal keeps it."""
        held: dict[str, Any] = dict(zip(self.names, record.values, strict=True))
        if self.nested is not None:
            names = [column.name for column in self.nested.columns]
            held[self.nested.field] = [
                dict(zip(names, item, strict=True)) for item in record.nested
            ]
        return json.dumps(held, ensure_ascii=False, separators=(",", ":"))

    def from_json(self, text: str) -> Record:
        """The record out of a journal's JSON; fields younger than the entry get defaults.

        Raises DamagedNotebook where it is no such JSON.
        """
        try:
            held = json.loads(text)
            values = tuple(held.get(column.name, column.default) for column in self.columns)
            if self.nested is None:
                return Record(values)
            nested = tuple(
                tuple(item.get(column.name, column.default) for column in self.nested.columns)
                for item in held.get(self.nested.field, ())
            )
        except (ValueError, TypeError, AttributeError, RecursionError) as error:
            raise damaged(f"The journal's entry about a {self.word} is damaged") from error
        return Record(values, nested)

    def damages(self, record: Record) -> list[str]:
        """What a stored record holds that the model does not allow."""
        try:
            return self.record(self.row(record))[1]
        except (KeyError, ValueError, TypeError, SurveyError) as error:
            return [f"cannot be read ({error})"]

    def with_values(self, record: Record, changed: Mapping[str, Stored]) -> Record:
        """The record with some of its columns replaced."""
        held = dict(zip(self.names, record.values, strict=True))
        held.update(changed)
        return Record(tuple(held.values()), record.nested)


def _take(
    columns: tuple[Column, ...],
    values: tuple[Any, ...] | list[Any],
    problems: list[str],
    place: str,
) -> tuple[Stored, ...]:
    """Take each value in; what is wrong is added to `problems` and leaves None."""
    taken: list[Stored] = []
    for column, value in zip(columns, values, strict=True):
        if value is None:
            if not column.optional:
                problems.append(f"{place}{label_of(column.name)} is missing")
            taken.append(None)
            continue
        try:
            taken.append(column.take(value))
        except InvalidValue as error:
            problems.append(f"{place}{label_of(column.name)} {error}")
            taken.append(None)
    return tuple(taken)


def _read(columns: tuple[Column, ...], values: tuple[Stored, ...]) -> dict[str, Any]:
    return {
        column.name: value if value is None or column.read is None else column.read(value)
        for column, value in zip(columns, values, strict=True)
    }


def _judge_together(row: Row, problems: list[str]) -> None:
    """What no single field shows: half a position, a photo's name that leads elsewhere."""
    if isinstance(row, SpeedRun):
        half = (row.server_lat_deg is None) != (row.server_lon_deg is None)
    elif isinstance(row, Site | Stop | Photo):
        half = (row.lat_deg is None) != (row.lon_deg is None)
    else:
        return
    if half:
        problems.append("a position needs both latitude and longitude")
    if isinstance(row, Photo) and not is_picture_name(row.file):
        problems.append("file must be the SHA-256 of the picture and its suffix")


def _columns_of(made: type[Any]) -> tuple[Column, ...]:
    """The columns of a dataclass, its nested field left out."""
    hints = get_type_hints(made)
    columns = []
    for item in fields(made):
        held = hints[item.name]
        if get_origin(held) is tuple:
            continue
        choices = [choice for choice in get_args(held) if choice is not NoneType]
        optional = bool(choices)
        plain: type = choices[0] if choices else held
        default = None if item.default is MISSING else cast(Stored, item.default)
        columns.append(
            Column(item.name, optional, taker_for(item.name, plain), reader_for(plain), default)
        )
    return tuple(columns)


def _nested_of(made: type[Row], table: str) -> Nested | None:
    for name, held in get_type_hints(made).items():
        if get_origin(held) is tuple:
            item = get_args(held)[0]
            return Nested(name, item, f"{table}_carrier", _columns_of(item))
    return None


def _references_of(made: type[Row], columns: tuple[Column, ...]) -> tuple[Reference, ...]:
    found = []
    for column in columns:
        target = "speed_run" if column.name == "together_with" else column.name[:-3]
        if column.name.endswith("_id") or column.name == "together_with":
            # A photo belongs to its stop although it may have none.
            owned = not column.optional or (made is Photo and target == "stop")
            found.append(Reference(column.name, target, owned))
    return tuple(found)


def _kind(made: type[Row], table: str, *order: str) -> Kind:
    columns = _columns_of(made)
    names = tuple(column.name for column in columns)
    return Kind(
        made=made,
        table=table,
        word=table.replace("_", " "),
        columns=columns,
        names=names,
        get_values=attrgetter(*names),
        references=_references_of(made, columns),
        nested=_nested_of(made, table),
        order=(*order, "rowid"),
    )


_SURVEY_AGE = "(SELECT created_utc FROM survey WHERE survey.id = stop.survey_id)"

KINDS: dict[type[Row], Kind] = {
    kind.made: kind
    for kind in (
        _kind(Survey, "survey", "created_utc"),
        _kind(Site, "site", "name COLLATE NOCASE"),
        _kind(Sector, "sector", "site_id", "label COLLATE NOCASE"),
        _kind(Device, "device", "label COLLATE NOCASE"),
        _kind(Stop, "stop", _SURVEY_AGE, "number"),
        _kind(Sighting, "sighting", "created_utc"),
        _kind(Reading, "reading", "time_utc"),
        _kind(SpeedRun, "speed_run", "time_utc"),
        _kind(Photo, "photo", "coalesce(time_utc, created_utc)"),
        _kind(Remark, "remark", "time_utc"),
        _kind(Preparation, "preparation", "created_utc"),
        _kind(CompassCheck, "compass_check", "time_utc"),
    )
}
BY_TABLE: dict[str, Kind] = {kind.table: kind for kind in KINDS.values()}


def kind_of(made: type[Row]) -> Kind:
    """The kind of a class of the model; InvalidValue for any other class."""
    try:
        return KINDS[made]
    except KeyError:
        raise InvalidValue(
            f"A notebook keeps no rows of kind {made.__name__}.",
            value=made,
            allowed=", ".join(BY_TABLE),
        ) from None


def title_of(row: Row) -> str:
    """How a person names the row: 'stop 3', 'site Mill Street 4', 'reading'."""
    word = kind_of(type(row)).word
    if isinstance(row, Stop):
        return f"{word} {row.number}"
    name = getattr(row, "title", None) or getattr(row, "name", None) or getattr(row, "label", None)
    return f"{word} {name}" if name else word
