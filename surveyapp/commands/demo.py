"""`surveyapp demo`: the invented survey, its serving answers, and how often they are true."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option, table
from surveyapp.commands.screen import has_screen
from surveyapp.commands.serving_answer import serving_values
from surveyapp.errors import MissingPackage

if TYPE_CHECKING:
    from surveyapp.commands.scoring import Scored

DEFAULT_FOLDER = Path("survey_demo")
INVENTED = "All operators, nodes, phones, servers and figures are invented; the streets are real."
HEADINGS = ("stop", "place", "leg", "most likely", "next", "truth", "to settle it")
REPORT_NAME = "report.html"
SETTLED = "Settled"  # how geometry.settle begins where nothing is left to ask


@click.command(cls=Command, short_help="An invented survey, and how true its answers are.")
@click.option("--to", "folder", type=click.Path(path_type=Path), metavar="DIR",
              default=DEFAULT_FOLDER, help="Its folder; otherwise survey_demo here.")  # fmt: skip
@click.option("--no-window", is_flag=True, help="Do not open the app afterwards.")
@json_option
def command(folder: Path, no_window: bool, as_json: bool) -> None:
    """Write the demo notebook, or take the one already there, and score its serving answers.

    The truth it was drawn from is kept beside it, and a report of its first visit. Opens the app
    where there is a screen.
    """
    from surveyapp.commands.scoring import score
    from surveyapp.demo.write import NOTEBOOK_NAME, read_demo, write_demo

    is_there = (folder / NOTEBOOK_NAME).exists()
    demo = read_demo(folder) if is_there else write_demo(folder)
    scored, attribution = score(demo)
    report, told = _report(demo.notebook_path)
    values = {
        "notebook": str(demo.notebook_path),
        "report": None if report is None else str(report),
        "stops": [_values(one) for one in scored],
        "score": {leg: _score(scored, leg) for leg in _legs(scored)},
    }
    first = "was there already and was left as it is" if is_there else "was written"
    lines = [
        f"{demo.notebook_path} {first}.",
        told,
        INVENTED,
        "",
        *table(HEADINGS, _rows(scored)),
        "",
        *(_score_line(scored, leg) for leg in _legs(scored)),
        attribution,
    ]
    answer(values, lines, as_json=as_json)
    if not (no_window or as_json) and has_screen():
        from surveyapp.ui.start import run_app

        run_app(demo.notebook_path)


def _report(notebook: Path) -> tuple[Path | None, str]:
    """Write the report of the first visit beside the notebook, unless it is there already.

    The demo is invented throughout, so nothing of it is hidden. Gives its path and a sentence.
    """
    from surveyapp.commands.finding import open_notebook
    from surveyapp.exchange.privacy import NOTHING
    from surveyapp.model import Survey
    from surveyapp.report.figure_look import check_matplotlib
    from surveyapp.ui.telling import account_from, write_report

    path = notebook.with_name(REPORT_NAME)
    if not path.exists():
        try:
            check_matplotlib()
        except MissingPackage as error:
            return None, str(error)
        with open_notebook(notebook) as opened:
            account = account_from(opened, opened.all(Survey)[0], NOTHING)
        write_report(account, path)
    return path, f"Its first visit is told in {REPORT_NAME} beside it."


def _values(one: Scored) -> dict[str, object]:
    return {
        "visit": one.visit,
        "stop": one.number,
        "place": one.place_text,
        "device": one.device,
        "leg": one.leg,
        **serving_values(one.answer),
        "truth": one.truth,
        "agrees": one.agrees,
    }


def _rows(scored: Sequence[Scored]) -> list[tuple[str, ...]]:
    """A line for each stop: its first answer, which is that of the 5G leg where there is one."""
    first: dict[tuple[int, int], Scored] = {}
    for one in sorted(scored, key=lambda one: one.leg != "5G leg"):
        first.setdefault((one.visit, one.number), one)
    return [_row(stop, one) for stop, one in sorted(first.items())]


def _row(stop: tuple[int, int], one: Scored) -> tuple[str, ...]:
    best, second = sorted(one.answer.ranking, key=lambda ranked: -ranked.probability)[:2]
    settle = one.answer.settle
    return (
        f"{stop[0]}/{stop[1]}",
        one.place_text,
        one.leg.removesuffix(" leg"),
        f"{best.name} {100.0 * best.probability:.0f} %",
        f"{second.name} {100.0 * second.probability:.0f} %",
        "agrees" if one.agrees else one.truth,
        "-" if settle.startswith(SETTLED) else settle,
    )


def _legs(scored: Sequence[Scored]) -> list[str]:
    return list(dict.fromkeys(one.leg for one in scored))


def _score(scored: Sequence[Scored], leg: str) -> dict[str, float]:
    own = [one for one in scored if one.leg == leg]
    sure = [one for one in own if one.answer.best.probability >= 0.8]
    return {
        "answers": len(own),
        "right": sum(one.agrees for one in own),
        "sure": len(sure),
        "sure_and_right": sum(one.agrees for one in sure),
        "mean_probability_of_truth": sum(one.probability_of_truth for one in own) / len(own),
    }


def _score_line(scored: Sequence[Scored], leg: str) -> str:
    found = _score(scored, leg)
    return (
        f"{leg}: {found['right']} of {found['answers']} answers name the truth first; "
        f"of those given at 80 % or more, {found['sure_and_right']} of {found['sure']}; "
        f"the truth was given {100.0 * found['mean_probability_of_truth']:.0f} % on average."
    )
