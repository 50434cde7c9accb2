"""Feeds every reader with broken files: `python -m tests.benchmarks.fuzz [--cases 100000]`.

Prints for each reader how many cases it had, how many it refused, the slowest one's processor
time, the memory they took, and every fault: anything but a refusal in one sentence. `--in FOLDER`
keeps the cases at fault. See `fuzz_one` for what counts, and for atheris.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import click

from tests.benchmarks.fuzz_readers import TARGETS

HERE = Path(__file__).resolve().parent.parent.parent
HEAD = "reader                     cases   refused  slowest s  memory MB  faults"


def fuzzed(name: str, folder: Path, cases: int, guided: bool) -> dict[str, object]:
    """What a process of its own found of one reader; a crash of it is a fault too."""
    place = folder / "".join(letter if letter.isalnum() else "-" for letter in name)
    place.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "tests.benchmarks.fuzz_one", name, place, str(cases)]
    with open(place / "output.txt", "wb") as output:
        ended = subprocess.run(
            [*command, *(["guided"] if guided else [])], cwd=HERE, stdout=output, stderr=output
        ).returncode
    told = place / "told.json"
    found = json.loads(told.read_text()) if told.exists() else {"cases": 0, "faults": {}}
    if ended != 0:
        found["faults"][f"the process ended with {ended}"] = str(place)
    return found


@click.command()
@click.option("--cases", default=100_000, show_default=True)
@click.option("--only", multiple=True, help="A reader by its name; may be given again.")
@click.option("--guided/--random", default=True, help="By what cases reach, where atheris is.")
@click.option("--in", "kept", type=click.Path(path_type=Path, file_okay=False))
def main(cases: int, only: tuple[str, ...], guided: bool, kept: Path | None) -> None:
    """Fuzz and tell."""
    with tempfile.TemporaryDirectory() as temporary:
        click.echo(HEAD)
        for name in only or TARGETS:
            found = fuzzed(name, kept or Path(temporary), cases, guided)
            click.echo(
                f"{name:<24}{found['cases']:>8,}{found.get('refused', 0):>10,}"
                f"{found.get('slowest_s', 0.0):>11.2f}{found.get('memory_mb', 0):>11}"
                f"{len(found['faults']):>8}"
            )
            for what, where in found["faults"].items():
                click.echo(f"    {what}: {where}")


if __name__ == "__main__":
    main()
