"""The command line: one table of commands, each a module of `surveyapp.commands`.

`surveyapp` alone opens the app. A command's module is imported only when it is asked for, so
that `surveyapp channel ...` starts without the store, the ground or the screen.

Whatever was typed wrongly ends as one plain sentence on stderr and exit code 2.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NoReturn

import click

from surveyapp import __version__
from surveyapp.errors import SurveyError

COMMANDS = (
    "backup", "budget", "channel", "check", "compare", "declination", "demo", "expect", "export",
    "fix", "ground", "import", "merge", "places", "rate", "report", "restore", "serving",
)  # fmt: skip
MODULES = {"import": "bring_in"}  # a module cannot be called by a word of the language
BAD_INPUT = 2
INTERRUPTED = 130


class CommandTable(click.Group):
    """The commands by name; errors of the surveyor become one sentence, never a traceback."""

    def list_commands(self, context: click.Context) -> list[str]:
        """Every command, for the help page."""
        return list(COMMANDS)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Import the one command asked for."""
        if name not in COMMANDS:
            return None
        command: click.Command = import_module(
            f"surveyapp.commands.{MODULES.get(name, name)}"
        ).command
        return command

    def main(self, args: Sequence[str] | None = None, **settings: Any) -> Any:  # type: ignore[override]
        """Run, and leave with exit code 0, what the command chose, or 2 for bad input."""
        settings["standalone_mode"] = False
        try:
            code = super().main(args, **settings)
        except click.ClickException as error:
            _leave(error.format_message(), BAD_INPUT)
        except click.Abort:
            _leave("Stopped.", INTERRUPTED)
        except SurveyError as error:
            _leave(str(error), BAD_INPUT)
        except BrokenPipeError:  # whoever read the answer has had enough of it
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(1)
        except OSError as error:
            _leave(_file_trouble(error), BAD_INPUT)
        sys.exit(code if isinstance(code, int) else 0)


def _leave(words: str, code: int) -> NoReturn:
    from surveyapp.commands.output import readable

    sentence = readable(" ".join(words.split()))
    click.echo(sentence if sentence.endswith((".", "?")) else f"{sentence}.", err=True)
    sys.exit(code)


def _file_trouble(error: OSError) -> str:
    where = f"{error.filename}: " if error.filename else ""
    return f"{where}{error.strerror or error}."


@click.group(cls=CommandTable, invoke_without_command=True)
@click.version_option(__version__, prog_name="surveyapp")
@click.pass_context
def cli(context: click.Context) -> None:
    """A field notebook for surveyors of cellular networks. Without a command: open the app."""
    if context.invoked_subcommand is not None:
        return
    from surveyapp.commands.screen import has_screen

    if not has_screen():
        raise SurveyError(
            "There is no screen here to open the app on: use a command, see surveyapp --help."
        )
    from surveyapp.ui.start import run_app

    run_app(None)


def main() -> None:
    """Entry point of the installed command `surveyapp`."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a place name must not stop a narrow terminal
            stream.reconfigure(errors="replace")
    cli.main(prog_name="surveyapp")
