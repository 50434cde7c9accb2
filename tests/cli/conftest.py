"""Running a command in this process, as the installed command would run it."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner, Result

from surveyapp.cli import cli


@pytest.fixture
def run() -> Callable[..., Result]:
    """Run `surveyapp` with some arguments."""
    runner = CliRunner()
    return lambda *arguments: runner.invoke(cli, [str(argument) for argument in arguments])


@pytest.fixture
def answer(run: Callable[..., Result]) -> Callable[..., dict[str, Any]]:
    """Run with --json; the one object it prints."""

    def asked(*arguments: object) -> dict[str, Any]:
        result = run(*arguments, "--json")
        assert result.exit_code == 0, result.stderr
        assert result.stderr == ""
        found = json.loads(result.stdout)
        assert isinstance(found, dict)
        return found

    return asked
