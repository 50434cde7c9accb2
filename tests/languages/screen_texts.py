"""Every text of the sources that may come to the screen, read from the sources themselves.

A text is its own message; an f-string has a place `{}` for each value put into it.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent.parent / "surveyapp"
PLACE = "{}"
SILENT_CALLS = frozenset(
    {
        "setting", "keep_setting", "register", "getLogger", "compile", "query", "execute",
        "setdefault", "strftime", "encode", "autoclass", "cast", "TypeVar", "find_class",
    }
)  # fmt: skip
SILENT_ARGUMENTS = frozenset({"allowed", "value", "name", "path"})  # of calls: not said
SILENT_NAMES = frozenset({"__all__", "__events__"})
_KV_VALUE = re.compile(r"^\s*\w+\s*:\s*(.*)$")
_QUOTED = re.compile(r"'((?:[^'\\]|\\.)*)'|\"((?:[^\"\\]|\\.)*)\"")
_WORD = re.compile(r"[A-Za-z]{2,}")


def is_prose(text: str) -> bool:
    """Whether a text is words for people, not a key: two words, or one with a capital."""
    plain = text.replace(PLACE, " ")
    return bool(_WORD.search(plain)) and (" " in text.strip() or text.strip()[:1].isupper())


@cache
def texts_of_module(path: Path) -> tuple[str, ...]:
    """All that a Python module might say."""
    return tuple(_said(ast.parse(path.read_text(encoding="utf-8"))))


def texts_of_look(path: Path) -> Iterator[str]:
    """All that a .kv file says itself."""
    for line in path.read_text(encoding="utf-8").splitlines():
        found = None if line.strip().startswith("#") else _KV_VALUE.match(line)
        for quoted in _QUOTED.finditer(found[1]) if found else ():
            yield (quoted[1] or quoted[2] or "").strip()


def _said(node: ast.AST) -> Iterator[str]:
    """The texts in a part of a module."""
    match node:
        case ast.Expr(value=ast.Constant()) | ast.Compare():
            return  # docstrings, and what is only compared
        case ast.Assign(targets=[ast.Name(id=name)]) if name in SILENT_NAMES:
            return
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)):
            if name in SILENT_CALLS or name.endswith("Property"):
                return
        case ast.Constant(value=str(text)):
            yield text
        case ast.JoinedStr():
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else PLACE for part in node.values
            )
    for part in _loud_parts(node):
        yield from _said(part)


def _loud_parts(node: ast.AST) -> Iterator[ast.AST]:
    """What below a node may come to the screen: no annotations, look-ups or silent arguments."""
    match node:
        case ast.JoinedStr():
            yield from (part for part in node.values if isinstance(part, ast.FormattedValue))
        case ast.FormattedValue() | ast.Subscript() | ast.keyword():
            if getattr(node, "arg", None) not in SILENT_ARGUMENTS:
                yield node.value
        case ast.FunctionDef():
            yield from (node.args, *node.body)
        case ast.arguments():
            yield from (one for one in (*node.defaults, *node.kw_defaults) if one)
        case ast.AnnAssign():
            yield from [node.value] if node.value else []
        case _:
            yield from ast.iter_child_nodes(node)
