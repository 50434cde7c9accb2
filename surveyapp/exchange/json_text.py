"""JSON files read strictly and in bounded memory (RFC 8259), for every JSON format here."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from surveyapp.errors import FormatError
from surveyapp.exchange.files import refused, text_of

MOST_BYTES = 32_000_000  # Python holds about ten times that while reading


def load_object(path: Path) -> dict[str, Any]:
    """The one JSON object a file holds.

    Raises FormatError, with the place where there is one, for a file that is larger than
    MOST_BYTES, not UTF-8, no JSON, nested too deep, or another JSON value than an object;
    NaN and Infinity are no JSON and are refused too.
    """
    return object_of(text_of(path, MOST_BYTES), path)


def object_of(text: str, path: Path) -> dict[str, Any]:
    """The one JSON object of a text; `path` says where it comes from. Raises as `load_object`."""
    try:
        value = json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise refused(path, f"is no valid JSON ({place}: {error.msg})", place) from error
    except RecursionError as error:
        raise refused(path, "is nested too deep to be read") from error
    except ValueError as error:
        raise refused(path, f"holds a number that cannot be used ({error})") from error
    if not isinstance(value, dict):
        raise refused(path, "holds JSON of another kind than was expected: no object")
    return value


def _no_constant(name: str) -> float:
    raise FormatError(f"{name} is no number in JSON")
