"""`surveyapp export`: a survey as a file for others, or for oneself."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import find_survey, open_notebook
from surveyapp.commands.output import answer, json_option, pairs
from surveyapp.commands.publishing import hiding_options, privacy_of, with_salt
from surveyapp.errors import NotebookError

if TYPE_CHECKING:
    from surveyapp.exchange.content import Content
    from surveyapp.store.notebook import Notebook


@click.command(cls=Command, short_help="A survey as a file for others.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--as", "key", required=True, metavar="FORMAT",
              help="bundle, geojson, gpkg, csv, gpx or kml.")  # fmt: skip
@click.option("--out", required=True, type=click.Path(path_type=Path), metavar="FILE")
@click.option("--replace", is_flag=True, help="Write over FILE where it is there already.")
@click.option("--survey", "titles", multiple=True, metavar="TITLE",
              help="Only this survey; may be given again. Else the whole notebook.")  # fmt: skip
@hiding_options()
@json_option
def command(
    notebook: Path,
    key: str,
    out: Path,
    replace: bool,
    titles: tuple[str, ...],
    homes: tuple[str, ...],
    blur_home: bool,
    keep: tuple[str, ...],
    everything: bool,
    as_json: bool,
) -> None:
    """Write NOTEBOOK's surveys to FILE in a FORMAT.

    Unless told otherwise phones are renamed, times cut to the hour, stops moved to a grid of
    50 m without their bearings, and pictures rewritten without their data. Texts you wrote stay.
    """
    from surveyapp.exchange.files import temporary_folder
    from surveyapp.exchange.formats import survey_format
    from surveyapp.exchange.plain_rows import kind_name
    from surveyapp.exchange.privacy import hidden, told

    known = survey_format(key)
    privacy = privacy_of(homes, blur_home, keep, everything)
    if out.exists() and not replace:
        raise NotebookError(
            f"{out} is there already: choose another name, or give --replace.", path=str(out)
        )
    with open_notebook(notebook) as opened, temporary_folder() as workspace:
        if out.exists() and out.samefile(notebook):
            raise NotebookError(f"{out} is the notebook itself: choose another name.")
        content = content_of(opened, titles)
        content = hidden(content, with_salt(privacy, opened), workspace)
        assert known.write is not None, "survey_format gives only formats to write"
        known.write(content, out)
    counts = Counter(kind_name(type(row)) for row in content.rows)
    words = told(privacy, pictures=known.has_pictures)
    if not everything and not homes:
        words.append("no home place was named: what lies near yours is in the file")
    values = {
        "file": str(out),
        "format": known.key,
        "rows": dict(counts),
        "pictures": len(content.pictures),
        "hidden": words,
        "loses": known.loses,
    }
    lines = [f"{out} was written ({known.name}).", ""]
    lines += pairs((name.replace("_", " "), str(count)) for name, count in counts.items())
    lines += ["", *(f"Privacy: {word}." for word in words), f"Not carried: {known.loses}."]
    answer(values, lines, as_json=as_json)


def content_of(notebook: Notebook, titles: tuple[str, ...]) -> Content:
    """The rows of the surveys of these titles, or of all, with their pictures."""
    from surveyapp.exchange.content import Content

    surveys = [find_survey(notebook, title).id for title in titles] or None
    rows = notebook.rows_of(surveys)
    return Content(rows=rows, pictures=notebook.pictures_of(rows))
