"""How every command answers: aligned plain text, or one JSON object with `--json`."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

import click

_TURNS = (*range(0x202A, 0x202F), *range(0x2066, 0x206A))  # Unicode Annex 9, explicit marks
_CONTROLS = (*range(0x20), *range(0x7F, 0xA0))  # ECMA-48, C0 and C1
_OBEYED = {code: "\ufffd" for code in (*_CONTROLS, *_TURNS) if chr(code) not in "\t\n"}

Function = TypeVar("Function", bound=Callable[..., Any])


def json_option(function: Function) -> Function:
    """Add `--json` to a command; it arrives as the argument `as_json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object.")(function)


def answer(values: Mapping[str, object], lines: Iterable[str], *, as_json: bool) -> None:
    """Print the object, or the lines meant for a reader."""
    if as_json:
        click.echo(json.dumps(values, allow_nan=False))
        return
    for line in lines:
        click.echo(readable(line))


def readable(text: str) -> str:
    """The text with what a terminal would obey instead of showing it replaced: a name that was
    brought in must not move the cursor, set the clipboard or turn the line round."""
    return text.translate(_OBEYED)


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> list[str]:
    """Lines of aligned columns, two spaces apart; columns of figures stand to the right."""
    body = [tuple(row) for row in rows]
    columns = list(zip(headings, *body, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    right = [bool(body) and all(_is_figure(cell) for cell in column[1:]) for column in columns]
    return [
        "  ".join(
            cell.rjust(width) if to_right else cell.ljust(width)
            for cell, width, to_right in zip(row, widths, right, strict=True)
        ).rstrip()
        for row in (tuple(headings), *body)
    ]


def pairs(rows: Iterable[tuple[str, str]]) -> list[str]:
    """Lines of a name and its value, the values one below the other."""
    body = list(rows)
    width = max(len(name) for name, _ in body)
    return [f"{name.ljust(width)}  {value}" for name, value in body]


def _is_figure(cell: str) -> bool:
    return cell in {"", "-"} or cell.lstrip("+-")[:1].isdigit()
