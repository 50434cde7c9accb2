"""The terminal examples of README.md: found, run, and written anew when asked.

An example is an indented block whose first line is `$ surveyapp ...`; the lines below are what
it prints, where a line `...` stands for any number of lines left out. All examples run one
after the other in one empty folder.

`python -m tests.readme_examples` runs them and writes the outputs into README.md, keeping the
lines left out: look at the difference before you keep it.
"""

from __future__ import annotations

import os
import shlex
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from surveyapp.cli import cli

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
INDENT = "    "
PROMPT = f"{INDENT}$ surveyapp "
LEFT_OUT = "..."


@dataclass(frozen=True)
class Example:
    """One command of the README, where it stands (line numbers from 0) and what it shows."""

    arguments: tuple[str, ...]
    start: int
    end: int
    shown: tuple[str, ...]


def examples(text: str) -> list[Example]:
    """All examples of a document."""
    lines = text.splitlines()
    found = []
    for start, line in enumerate(lines):
        if not line.startswith(PROMPT):
            continue
        body, end = start + 1, start + 1
        while lines[body - 1].endswith("\\"):
            body, end = body + 1, end + 1
        while end < len(lines) and (lines[end].startswith(INDENT) or _is_gap(lines, end)):
            end += 1
        command = " ".join(part.strip().removesuffix("\\") for part in lines[start:body])
        shown = tuple(part.removeprefix(INDENT) for part in lines[body:end])
        arguments = tuple(shlex.split(command.removeprefix(PROMPT.strip())))
        found.append(Example(arguments, body, end, shown))
    return found


def _is_gap(lines: list[str], place: int) -> bool:
    """An empty line inside a block: the next one is indented and no new example."""
    after = lines[place + 1] if place + 1 < len(lines) else ""
    return lines[place] == "" and after.startswith(INDENT) and not after.startswith(PROMPT)


def output_of(example: Example, folder: Path) -> list[str]:
    """What the command prints when run in `folder`; bad input prints on stderr."""
    before = Path.cwd()
    os.chdir(folder)
    try:
        result = CliRunner().invoke(cli, list(example.arguments), prog_name="surveyapp")
    finally:
        os.chdir(before)
    assert result.exit_code in (0, 2), result.output
    return [line.rstrip() for line in result.output.splitlines()]


def agrees(shown: tuple[str, ...], printed: list[str]) -> bool:
    """Whether the lines shown are those printed, `...` standing for any lines."""
    place = 0
    skipping = False
    for line in shown:
        if line == LEFT_OUT:
            skipping = True
            continue
        while skipping and place < len(printed) and printed[place] != line:
            place += 1
        if place >= len(printed) or printed[place] != line:
            return False
        place, skipping = place + 1, False
    return skipping or place == len(printed)


def renewed(shown: tuple[str, ...], printed: list[str]) -> list[str]:
    """The lines printed, cut where the document left lines out: as many before and after.

    What is shown stays as it is where it still is what is printed.
    """
    if agrees(shown, printed):
        return list(shown)
    if LEFT_OUT not in shown:
        return printed
    before = shown.index(LEFT_OUT)
    after = len(shown) - before - 1
    return [*printed[:before], LEFT_OUT, *(printed[-after:] if after else [])]


def main() -> None:
    """Write the present outputs into README.md."""
    text = README.read_text(encoding="utf-8")
    lines = text.splitlines()
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "sample_surveys", Path(folder) / "sample_surveys")
        outputs = [(one, output_of(one, Path(folder))) for one in examples(text)]
    for one, printed in reversed(outputs):
        body = [f"{INDENT}{line}".rstrip() for line in renewed(one.shown, printed)]
        lines[one.start : one.end] = body
    README.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
