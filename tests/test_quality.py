"""The habits of DEVELOPERS.md that a machine can check: style, types, sizes, errors, tests."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from surveyapp import errors

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "surveyapp"
MODULES = sorted(PACKAGE.rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
LONGEST_FILE = 300
LONGEST_FUNCTION = 40
ERRORS = {name for name, kind in vars(errors).items() if isinstance(kind, type)}
UNFINISHED = ("TO" + "DO", "FIX" + "ME", "XX" + "X")

Function = ast.FunctionDef | ast.AsyncFunctionDef


def relative_name(path: Path) -> str:
    """A short name for test ids."""
    return str(path.relative_to(ROOT))


@cache
def tree_of(path: Path) -> ast.Module:
    """A module's tree; several rules look at each."""
    return ast.parse(path.read_text(encoding="utf-8"))


def functions(path: Path) -> Iterator[Function]:
    """Every function of a module, methods and inner ones included."""
    for node in ast.walk(tree_of(path)):
        if isinstance(node, Function):
            yield node


def error_makers() -> set[str]:
    """Functions of ours that return one of our errors, to be raised."""
    return {
        function.name
        for path in MODULES
        for function in functions(path)
        if function.returns is not None and ast.unparse(function.returns) in ERRORS
    }


MAKERS = error_makers()


def is_ours(raised: ast.expr | None, caught: set[str]) -> bool:
    """Whether a raise names a class of errors.py, a maker of one, or what was just caught.

    NotImplementedError marks a method that a subclass gives; nobody ever meets it.
    """
    if raised is None:
        return True
    if isinstance(raised, ast.Name):
        return raised.id in caught or raised.id == "NotImplementedError"
    if not isinstance(raised, ast.Call):
        return False
    name = ast.unparse(raised.func).split(".")[-1]
    return name in ERRORS or name in MAKERS


def caught_on_the_spot(tree: ast.Module) -> set[int]:
    """Lines of raises inside a try that has handlers: signals that do not leave the function."""
    return {
        inner.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Try) and node.handlers
        for statement in node.body
        for inner in ast.walk(statement)
        if isinstance(inner, ast.Raise)
    }


@pytest.mark.parametrize("path", MODULES, ids=relative_name)
def test_every_raise_names_an_error_of_ours(path: Path) -> None:
    """So that a caller who catches SurveyError never meets a bare builtin."""
    tree = tree_of(path)
    handled = caught_on_the_spot(tree)
    caught = {
        node.name for node in ast.walk(tree) if isinstance(node, ast.ExceptHandler) and node.name
    }
    foreign = [
        f"line {node.lineno}: {ast.unparse(node)[:80]}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Raise)
        and not is_ours(node.exc, caught)
        and node.lineno not in handled
    ]

    assert foreign == []


@pytest.mark.parametrize("path", MODULES, ids=relative_name)
def test_files_and_functions_stay_small(path: Path) -> None:
    """A file fits in a head, a function on a screen."""
    lines = len(path.read_text(encoding="utf-8").splitlines())
    long = [
        f"{function.name} has {length} lines"
        for function in functions(path)
        if (length := _length(function)) > LONGEST_FUNCTION
    ]

    assert lines <= LONGEST_FILE
    assert long == []


def _length(function: Function) -> int:
    """Lines of the body, without signature and docstring."""
    body = function.body
    if ast.get_docstring(function) is not None:
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", TESTS, ids=relative_name)
def test_every_test_tells_its_behaviour(path: Path) -> None:
    """Each test function has a docstring."""
    silent = [
        function.name
        for function in functions(path)
        if function.name.startswith("test_") and not ast.get_docstring(function)
    ]

    assert silent == []


@pytest.mark.parametrize("path", TESTS, ids=relative_name)
def test_no_test_swallows_its_own_failure(path: Path) -> None:
    """Nowhere is a failed check caught, so a test can always fail."""
    handlers = [
        node
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or "AssertionError" in ast.unparse(node.type))
    ]

    assert handlers == []


@pytest.mark.parametrize("path", [*MODULES, *TESTS], ids=relative_name)
def test_nothing_is_left_for_later(path: Path) -> None:
    """No note to self stands in place of work."""
    text = path.read_text(encoding="utf-8")

    assert not [word for word in UNFINISHED if word in text]


def test_each_screen_has_its_look_beside_it() -> None:
    """A screen is a module and a kv of one name; no kv is left without its module."""
    screens = sorted((PACKAGE / "ui" / "screens").glob("*.py"))
    bare = [path.name for path in screens if path.stem != "__init__"
            and not path.with_suffix(".kv").exists()]  # fmt: skip
    lost = [path.name for path in PACKAGE.rglob("*.kv") if not path.with_suffix(".py").exists()]

    assert bare == []
    assert lost == []


@pytest.mark.parametrize(
    "tool", [("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",)], ids=" ".join
)
def test_style_and_types(tool: tuple[str, ...]) -> None:
    """The formatter, the linter and the strict type check find nothing."""
    done = subprocess.run(
        [sys.executable, "-m", *tool], capture_output=True, text=True, cwd=ROOT, check=False
    )

    assert done.returncode == 0, done.stdout + done.stderr
