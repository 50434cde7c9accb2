"""A survey's report made in the background, and shown by the system's browser. No Kivy here."""

from __future__ import annotations

import json
import webbrowser
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import count
from pathlib import Path

from surveyapp.model import LatLon, Survey
from surveyapp.sensors.android import on_android
from surveyapp.store.notebook import Notebook
from surveyapp.ui.exchanging import SENT, plain_name
from surveyapp.ui.sending import left_out, privacy_of
from surveyapp.ui.telling import Tell, account_from, silent, write_report

PAGE, PICTURE = ".html", ".png"


def report_request(
    survey: Survey,
    hide: Sequence[str],
    homes: Sequence[LatLon],
    picture: bool,
    notebook: Notebook,
) -> str:
    """All that `make_report` needs to know, with new names beside the notebook."""
    folder = notebook.path.parent / SENT
    name, again = plain_name(survey.title), count(2)
    out = folder / f"{name}{PAGE}"
    while out.exists() or out.with_suffix(PICTURE).exists():
        out = folder / f"{name} {next(again)}{PAGE}"
    return json.dumps(
        {
            "survey": survey.id,
            "hide": sorted(hide),
            "homes": list(homes),
            "picture": picture,
            "out": str(out),
        }
    )


def page_of(asked: str) -> Path:
    """The page that was asked for."""
    return Path(json.loads(asked)["out"])


def make_report(
    notebook_path: Path, asked: str, leave: Callable[[], bool], tell: Tell = silent
) -> str | None:
    """Write page and picture; what was done, in sentences. None where `leave` asked to stop."""
    from surveyapp.exchange.privacy import told
    from surveyapp.report.figure_look import has_matplotlib

    wish = json.loads(asked)
    privacy = privacy_of([*wish["hide"], "pictures"], wish["homes"])
    figures = has_matplotlib()
    out = Path(wish["out"])
    picture = out.with_suffix(PICTURE) if wish["picture"] and figures else None
    tell("Asking of every stop which sector served and what was to be expected.")
    with Notebook.open(notebook_path) as notebook:
        survey = notebook.get(Survey, wish["survey"])
        privacy = replace(privacy, salt=notebook.salt_of_copies())
        account = account_from(notebook, survey, privacy)
        near = left_out(notebook, survey.id, wish["homes"])
    if leave():
        return None
    out.parent.mkdir(parents=True, exist_ok=True)
    write_report(account, out, picture, figures=figures, tell=tell)
    lines = [f"The report is here: {out}"]
    lines += [f"The picture is here: {picture}"] if picture else []
    lines += [near] if near else []
    lines += [f"Privacy: {one}." for one in told(privacy)]
    return "\n".join([*lines, *_lacking(figures)])


def _lacking(figures: bool) -> list[str]:
    """What could not be drawn here."""
    return [] if figures else [NO_FIGURES]


NO_FIGURES = (
    "The drawn figures and the summary picture are left out: they need matplotlib, which is not "
    "on this device. On a desk they are made."
)


def browser_there() -> bool:
    """Whether this machine has a browser that can be asked to open a file."""
    if on_android():
        return False
    try:
        webbrowser.get()
    except webbrowser.Error:
        return False
    return True


def show_page(page: Path) -> None:
    """Open it in the system's browser."""
    webbrowser.open(page.absolute().as_uri())
