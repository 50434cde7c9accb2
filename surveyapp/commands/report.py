"""`surveyapp report`: a survey told as one page, and as a picture."""

from __future__ import annotations

from pathlib import Path

import click

from surveyapp.commands.arguments import Command, number, optional
from surveyapp.commands.finding import find_survey, open_notebook
from surveyapp.commands.output import answer, json_option
from surveyapp.commands.publishing import hiding_options, privacy_of
from surveyapp.errors import NotebookError

KEPT = ("devices", "times", "places")


@click.command(cls=Command, short_help="A survey told as one page that prints.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), metavar="FILE",
              help="The page, an HTML file that needs no other.")  # fmt: skip
@click.option("--picture", type=click.Path(path_type=Path), metavar="FILE",
              help="Write a summary picture too, PNG, 1200 by 1500.")  # fmt: skip
@click.option("--replace", is_flag=True, help="Write over a file that is there already.")
@click.option("--survey", metavar="TITLE", help="Its title; otherwise that of the newest stop.")
@click.option("--cover", "cover_text", metavar="DBM",
              help="RSRP that counts as cover; -100 otherwise.")  # fmt: skip
@hiding_options(KEPT)
@json_option
def command(
    notebook: Path,
    out: Path,
    picture: Path | None,
    replace: bool,
    survey: str | None,
    cover_text: str | None,
    homes: tuple[str, ...],
    blur_home: bool,
    keep: tuple[str, ...],
    everything: bool,
    as_json: bool,
) -> None:
    """Tell one survey of NOTEBOOK as a page for others to read and print.

    Unless told otherwise phones are renamed, times left out, stops moved to a grid of 50 m
    without their bearings. Photos are always written anew without their data. Texts you wrote
    stay: read them first.
    """
    from surveyapp.report.figure_look import check_matplotlib
    from surveyapp.ui.telling import account_from, write_report

    privacy = privacy_of(homes, blur_home, keep, everything)
    cover_dbm = optional(cover_text, number, "--cover", -156.0, -31.0, "dBm")
    check_targets(notebook, out, picture, replace=replace)
    check_matplotlib()
    with open_notebook(notebook) as opened:
        account = account_from(opened, find_survey(opened, survey), privacy, cover_dbm)
    write_report(account, out, picture)
    words = list(account.record.hidden)
    if not everything and not homes:
        words.append("no home place was named: what lies near yours is on the page")
    values = {
        "page": str(out),
        "picture": None if picture is None else str(picture),
        "survey": account.record.survey.title,
        "stops": len(account.scenes),
        "doubts": len(account.doubts),
        "hidden": words,
    }
    lines = [f"{path} was written." for path in (out, picture) if path is not None]
    answer(values, [*lines, "", *(f"Privacy: {word}." for word in words)], as_json=as_json)


def check_targets(notebook: Path, out: Path, picture: Path | None, *, replace: bool) -> None:
    """Raises NotebookError where a file would be written over that must not be."""
    if picture is not None and picture.absolute() == out.absolute():
        raise NotebookError(f"{out} cannot be page and picture at once: give two names.")
    for path in (out, picture):
        if path is None or not path.exists():
            continue
        if notebook.exists() and path.samefile(notebook):
            raise NotebookError(f"{path} is the notebook itself: choose another name.")
        if not replace:
            raise NotebookError(
                f"{path} is there already: choose another name, or give --replace.", path=str(path)
            )
