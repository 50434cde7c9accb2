"""`surveyapp ground`: bring the streets around a survey into its notebook."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option, pairs


@click.command(cls=Command, short_help="Bring streets and buildings into a notebook.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path))
@json_option
def command(notebook: Path, file: Path, as_json: bool) -> None:
    """Replace NOTEBOOK's ground by that of FILE (OpenStreetMap PBF or XML, GeoJSON).

    The notebook is made where there is none yet. The ground is kept in it for work offline.
    """
    from surveyapp.exchange.formats import read_ground_with_report
    from surveyapp.store.notebook import Notebook

    read = read_ground_with_report(file)
    with Notebook.open(notebook) if notebook.exists() else Notebook.create(notebook) as opened:
        opened.ground.replace(read.ground, file.name)
    kinds = Counter(item.kind.value for item in read.ground.furniture)
    counts = {
        "streets": len(read.ground.streets),
        "buildings": len(read.ground.buildings),
        "lamps": kinds["lamp"],
        "signals": kinds["signal"],
        "poles": kinds["pole"],
        "trees": kinds["tree"],
    }
    told = {"attribution": read.ground.attribution, "skipped": list(read.skipped)}
    lines = pairs((name, str(count)) for name, count in counts.items())
    lines += [f"Left out: {skipped}." for skipped in read.skipped]
    lines += [read.ground.attribution] if read.ground.attribution else []
    answer({**counts, **told}, lines, as_json=as_json)
