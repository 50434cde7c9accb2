"""Pictures of every page and sheet: `python -m tests.pictures --to DIR [--only NAME]`.

Each scene is drawn on a phone, a larger phone and a desk, by day and by night, at 100 % and
200 % text, one PNG each, named scene-size-theme-scale.png.
"""

from __future__ import annotations

import itertools
import tempfile
from pathlib import Path

import click

from tests.ui import harness, scenes

SIZES = {"phone": harness.PHONE, "large": harness.LARGE_PHONE, "desk": harness.DESK}
THEMES = ("day", "night")
SCALES = (1.0, 2.0)


def looks(every: bool) -> list[tuple[str, str, float]]:
    """The looks to draw: all twelve, or the four that differ most."""
    if every:
        return list(itertools.product(SIZES, THEMES, SCALES))
    return [("phone", "day", 1.0), ("phone", "night", 2.0), ("large", "night", 1.0),
            ("desk", "day", 1.0)]  # fmt: skip


def draw(scene: scenes.Scene, folder: Path, every: bool) -> None:
    """All looks of one scene, one PNG each."""
    with tempfile.TemporaryDirectory() as place:
        pilot = scenes.start(scene, Path(place), draw=True)
        for size, look, scale in looks(every):
            harness.Window.size = SIZES[size]
            harness.theme.name, harness.theme.text_scale = look, scale
            harness.frames(6)
            name = folder / f"{scene.name}-{size}-{look}-{scale:.0%}.png".replace("%", "")
            harness.picture(name)
        harness.stop(pilot)


@click.command()
@click.option("--to", "folder", type=click.Path(path_type=Path), required=True)
@click.option("--only", default="", help="Draw the scenes whose names begin so.")
@click.option("--every/--some", default=True, help="All twelve looks, or four of them.")
def main(folder: Path, only: str, every: bool) -> None:
    """Draw the scenes into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for scene in scenes.SCENES:
        if scene.name.startswith(only):
            draw(scene, folder, every)
            click.echo(scene.name)


if __name__ == "__main__":
    main()
