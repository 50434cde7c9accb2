"""All ratios in one table: `python -m tests.benchmarks [--quick] [MATTER ...]`.

Each matter is measured in a process of its own, one after the other, on a machine that should
do nothing else. `--quick` takes small sizes: to see that all runs, not for figures.
"""

from __future__ import annotations

import subprocess
import sys

import click

from tests.benchmarks.gathered import MATTERS

ALONE = """
import sys
from tests.benchmarks.gathered import MATTERS, line_of
for ratio in MATTERS[sys.argv[1]](sys.argv[2] == "quick"):
    print("ratio", line_of(ratio), flush=True)
"""


@click.command()
@click.option("--quick", is_flag=True, help="Small sizes: to see that all runs.")
@click.argument("matters", nargs=-1, type=click.Choice(list(MATTERS)))
def main(quick: bool, matters: tuple[str, ...]) -> None:
    """Print the table; the exit code is 1 where a matter could not be measured."""
    failed = False
    click.echo(f"{'what':<34} {'beside':<30} {'ratio':>7} {'goal':>6}")
    for matter in matters or MATTERS:
        click.echo(f"-- {matter}")
        command = [sys.executable, "-c", ALONE, matter, "quick" if quick else "whole"]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        for line in done.stdout.splitlines():
            if line.startswith("ratio "):
                click.echo(line.removeprefix("ratio "))
        if done.returncode:
            failed = True
            click.echo(f"{matter} could not be measured:\n{done.stderr[-2000:]}", err=True)
    sys.exit(int(failed))


if __name__ == "__main__":
    main()
