"""Kills a typing process 500 times at random moments: `python -m tests.benchmarks.capture_kills`.

Prints how many keystrokes and savings had been acknowledged, and how many of them were lost.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from tests.ui.kills import kill_typists


@click.command()
@click.option("--kills", default=500, show_default=True)
@click.option("--seed", default=1, show_default=True)
def main(kills: int, seed: int) -> None:
    """Kill, look, and tell."""
    with tempfile.TemporaryDirectory() as folder:
        tally = kill_typists(Path(folder), kills, seed)
    click.echo(f"kills                          {tally.kills:>8}")
    click.echo(f"actions acknowledged           {tally.acknowledged:>8}")
    click.echo(f"on disk before being told      {tally.ahead:>8}")
    click.echo(f"acknowledged and lost          {len(tally.losses):>8}")
    for loss in tally.losses:
        click.echo(loss)


if __name__ == "__main__":
    main()
