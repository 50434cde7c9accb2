"""Rows of the notebook as plain values (texts, numbers, lists of such) and back.

Everything is read from the dataclasses of `surveyapp.model`: a kind or field added there is
carried by every format without a change here. Values that are not recorded are left out.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass
from datetime import UTC, datetime
from enum import StrEnum
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints

from surveyapp.errors import InvalidValue
from surveyapp.model import Row, rows

Plain = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a dataclass. `nested` is the class its tuple holds, for carriers."""

    name: str
    held: type
    optional: bool
    default: Any
    nested: type[Any] | None = None

    @property
    def required(self) -> bool:
        """Whether a row cannot be made without it."""
        return self.default is MISSING and not self.optional


def _fields_of(made: type[Any]) -> tuple[Field, ...]:
    hints = get_type_hints(made)
    found = []
    for item in dataclasses.fields(made):
        held = hints[item.name]
        if get_origin(held) is tuple:
            found.append(Field(item.name, tuple, False, (), get_args(held)[0]))
            continue
        choices = [choice for choice in get_args(held) if choice is not NoneType]
        default = None if item.name == "id" else item.default
        found.append(Field(item.name, choices[0] if choices else held, bool(choices), default))
    return tuple(found)


def kind_name(made: type[Row]) -> str:
    """'speed_run' for SpeedRun."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "_", made.__name__).lower()


ROW_KINDS: Mapping[str, type[Row]] = {
    kind_name(made): made
    for made in vars(rows).values()
    if isinstance(made, type) and issubclass(made, Row) and made is not Row
}
"""Every kind of row by its name, owners before what belongs to them."""


_NESTED = {
    field.nested for made in ROW_KINDS.values() for field in _fields_of(made) if field.nested
}
_FIELDS = {made: _fields_of(made) for made in (*ROW_KINDS.values(), *_NESTED)}


def fields_of(made: type[Any]) -> tuple[Field, ...]:
    """The fields of a row's class, or of one nested in it, in their order."""
    return _FIELDS[made]


def time_text(moment: datetime) -> str:
    """ISO 8601 in UTC, with microseconds only where there are some."""
    if moment.tzinfo is not UTC:
        moment = moment.astimezone(UTC)
    return moment.isoformat()[:-6] + "Z"


def _plain_items(items: tuple[Any, ...]) -> list[Plain]:
    return [to_plain(item) for item in items]


def _writer_of(field: Field) -> Callable[[Any], Any] | None:
    """How a field's value becomes plain; None where it is already."""
    if field.nested is not None:
        return _plain_items
    if field.held is datetime:
        return time_text
    return str if issubclass(field.held, StrEnum) else None


_WRITERS = {
    made: tuple((field.name, _writer_of(field)) for field in fields)
    for made, fields in _FIELDS.items()
}


def to_plain(row: Any) -> Plain:
    """The row's recorded fields as plain values; a nested tuple as a list of the same."""
    held: Plain = {}
    for name, write in _WRITERS[type(row)]:
        value = getattr(row, name)
        if value is not None:
            held[name] = value if write is None else write(value)
    return held


def from_plain(made: type[Any], held: Mapping[str, Any], *, texts: bool = False) -> Any:
    """The row that plain values stand for; members the model does not know are passed over.

    With `texts` every value is text, as in a table: empty means not recorded, and both decimal
    marks are read. Raises InvalidValue with all that is wrong told in `problems`.
    """
    values: Plain = {}
    problems: list[str] = []
    for field in fields_of(made):
        value = held.get(field.name)
        if value is None or (texts and value == "" and field.held is not str):
            if field.required:
                problems.append(f"{field.name} is missing")
            continue
        if texts and value == "" and (field.optional or field.name == "id"):
            continue
        try:
            values[field.name] = _value(field, value, texts)
        except InvalidValue as error:
            problems += [f"{field.name} {problem}" for problem in error.problems or (str(error),)]
    if problems:
        raise InvalidValue("; ".join(problems), value=held, problems=problems)
    return made(**values)


def _value(field: Field, value: Any, texts: bool) -> Any:
    if field.nested is not None:
        return _items(field.nested, value, texts)
    if issubclass(field.held, StrEnum):
        return _choice(field.held, value)
    if field.held is datetime:
        return _time(value)
    if field.held is str:
        if not isinstance(value, str):
            raise InvalidValue(f"must be text, not {_short(value)}")
        return value
    number = number_of_text(value) if texts else value
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise InvalidValue(f"must be a number, not {_short(value)}")
    if not _is_finite(number):
        raise InvalidValue(f"must be a finite number, not {_short(value)}")
    if field.held is int and number != int(number):
        raise InvalidValue(f"must be a whole number, not {_short(value)}")
    return int(number) if field.held is int else float(number)


def _is_finite(number: float) -> bool:
    """Also for a whole number, which may lie beyond the range of a double."""
    try:
        return math.isfinite(number)
    except OverflowError:
        return False


def _items(made: type[Any], value: Any, texts: bool) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise InvalidValue(f"must be a list, not {_short(value)}")
    items = []
    problems: list[str] = []
    for count, item in enumerate(value, start=1):
        try:
            if not isinstance(item, dict):
                raise InvalidValue(f"must be an object, not {_short(item)}")
            items.append(from_plain(made, item, texts=texts))
        except InvalidValue as error:
            problems.append(f"{count}: {error}")
    if problems:
        raise InvalidValue("; ".join(problems), problems=problems)
    return tuple(items)


def _choice(choices: type[StrEnum], value: Any) -> StrEnum:
    try:
        return choices(value)
    except ValueError:
        allowed = ", ".join(choices)
        raise InvalidValue(
            f"must be one of {allowed}, not {_short(value)}", value=value, allowed=allowed
        ) from None


def _time(value: Any) -> datetime:
    try:
        moment = datetime.fromisoformat(value)
    except (TypeError, ValueError):
        raise InvalidValue(f"must be a time such as 2026-05-04T12:00:00Z, not {_short(value)}",
                           value=value) from None  # fmt: skip
    if moment.utcoffset() is None:
        raise InvalidValue(f"needs a time zone: {_short(value)} has none", value=value)
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        raise InvalidValue(f"lies outside the years 1 to 9999: {_short(value)}") from None


_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?", re.ASCII)
_LONGEST_NUMBER = 40


def number_of_text(text: Any) -> float | int | None:
    """A number written with either decimal mark; None for anything else."""
    stripped = str(text).strip()
    if len(stripped) > _LONGEST_NUMBER or not _NUMBER.fullmatch(stripped):
        return None
    plain = stripped.replace(",", ".")
    return int(plain) if plain.lstrip("+-").isdigit() else float(plain)


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:60]}..."
