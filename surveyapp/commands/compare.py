"""`surveyapp compare`: whether one phone, visit, server or hour really beats another."""

from __future__ import annotations

from dataclasses import asdict
from datetime import time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import click

from surveyapp.commands.arguments import Command, number
from surveyapp.commands.finding import find_device, find_survey, learned_offsets, open_notebook
from surveyapp.commands.output import answer, json_option, pairs, table
from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import Stop, StopScene, Survey

if TYPE_CHECKING:
    from surveyapp.analysis.compare import Comparison
    from surveyapp.store.notebook import Notebook

UNITS = {"down": "Mbit/s", "up": "Mbit/s", "ping": "ms"}
Two = tuple[str, str]


@click.command(cls=Command, short_help="Whether one phone really beats another.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--devices", nargs=2, metavar="A B", help="Two phones, by their labels.")
@click.option("--visits", nargs=2, metavar="A B", help="Two surveys, by their titles.")
@click.option("--servers", nargs=2, metavar="A B", help="Two test servers, by their places.")
@click.option("--hours", nargs=2, metavar="A B", help="Two spans of local time: 7-10 16-19.")
@click.option("--quantity", type=click.Choice(tuple(UNITS)), default="down", show_default=True)
@click.option("--within", metavar="MINUTES", help="Longest time between two paired runs (10).")
@click.option("--survey", metavar="TITLE", help="Only runs of this survey.")
@json_option
def command(
    notebook: Path,
    devices: Two | None,
    visits: Two | None,
    servers: Two | None,
    hours: Two | None,
    quantity: str,
    within: str | None,
    survey: str | None,
    as_json: bool,
) -> None:
    """Compare by pairs of runs at the same place under like conditions in NOTEBOOK.

    Each place counts once. Runs on different sectors, servers or numbers of streams, too far
    apart in time, or made together are left out, and how many is told.
    """
    chosen = [name for name, given in (("--devices", devices), ("--visits", visits),
              ("--servers", servers), ("--hours", hours)) if given]  # fmt: skip
    if len(chosen) != 1:
        raise InvalidValue("Give exactly one of --devices, --visits, --servers and --hours.")
    if within is not None and (visits or hours):
        raise InvalidValue(f"--within does not go with {chosen[0]}: its runs are hours apart.")
    if survey is not None and visits:
        raise InvalidValue("--survey does not go with --visits: they name the surveys.")
    gap = timedelta(minutes=number(within or "10", "--within", 0.1, 1440.0, "minutes"))
    with open_notebook(notebook) as opened:
        found = _found(opened, devices, visits, servers, hours, quantity, gap, survey)
    answer(as_values(found), _lines(found), as_json=as_json)


def _found(
    notebook: Notebook,
    devices: Two | None,
    visits: Two | None,
    servers: Two | None,
    hours: Two | None,
    quantity: str,
    within: timedelta,
    survey: str | None,
) -> Comparison:
    """The comparison asked for."""
    from surveyapp.analysis import compare
    from surveyapp.analysis.runs import Quantity, sectors_served

    asked = Quantity(quantity)
    if devices:
        ids = [find_device(notebook, label).id for label in devices]
        if ids[0] == ids[1]:
            raise InvalidValue("--devices names one phone twice: name two.")
    spans = [_span(text) for text in hours] if hours else []
    surveys = [find_survey(notebook, title) for title in visits or (survey,) if title]
    scenes = _scenes(notebook, surveys)
    if servers:
        _check_servers(scenes, servers)
    served = sectors_served(scenes, learned_offsets(notebook))
    if devices:
        return compare.compare_devices(scenes, *ids, quantity=asked, within=within, served=served)
    if servers:
        return compare.compare_servers(
            scenes, *servers, quantity=asked, within=within, served=served
        )
    if visits:
        first, second = ([one for one in scenes if one.survey.id == of.id] for of in surveys)
        titles = (surveys[0].title, surveys[1].title)
        return compare.compare_visits(first, second, quantity=asked, served=served, names=titles)
    zone = ZoneInfo(scenes[0].survey.time_zone) if scenes else ZoneInfo("UTC")
    return compare.compare_hours(scenes, spans[0], spans[1], zone, quantity=asked, served=served)


def _scenes(notebook: Notebook, surveys: list[Survey]) -> list[StopScene]:
    chosen: dict[str, Any] = {"survey_id": [one.id for one in surveys]} if surveys else {}
    return list(notebook.stop_scenes(stop.id for stop in notebook.all(Stop, **chosen)))


def _check_servers(scenes: list[StopScene], servers: Two) -> None:
    known = sorted({run.server_place for one in scenes for run in one.speed_runs} - {""})
    for server in servers:
        if server not in known:
            raise NotFound(
                f"No run was made against a server in '{server[:60]}'; there are: "
                f"{', '.join(known) or 'none yet'}."
            )
    if servers[0] == servers[1]:
        raise InvalidValue("--servers names one server twice: name two.")


def _span(text: str) -> tuple[time, time]:
    """'7-10' or '7:30-10:15' as two times of day."""
    parts = text.split("-")
    try:
        if len(parts) != 2:
            raise ValueError
        start, end = (_clock(part) for part in parts)
    except ValueError:
        raise InvalidValue(
            f"--hours '{text[:40]}' is no span of time: give it as 7-10 or 7:30-10:15.",
            value=text,
        ) from None
    return start, end


def _clock(text: str) -> time:
    hours, _, minutes = text.partition(":")
    return time(int(hours) % 24 if int(hours) <= 24 else -1, int(minutes or 0))


def as_values(found: Comparison) -> dict[str, Any]:
    """The comparison as --json prints it."""
    ratio = found.ratio
    winner = {"first": found.first, "second": found.second, None: None}[found.winner]
    return {
        "first": found.first,
        "second": found.second,
        "quantity": found.quantity.value,
        "pairs": [asdict(pair) for pair in found.pairs],
        "ratio": asdict(ratio) if ratio else None,
        "alike": asdict(found.alike) if found.alike else None,
        "first_came_first": found.first_came_first,
        "second_came_first": found.second_came_first,
        "more_pairs": [{"pct": pct, "pairs": count} for pct, count in found.more_pairs],
        "winner": winner,
        "shared": asdict(found.shared) if found.shared else None,
        "dropouts": [asdict(one) | {"per_hour": one.per_hour} for one in found.dropouts or ()],
        "left_out": [asdict(one) for one in found.left_out],
        "doubts": list(found.doubts),
        "sentence": found.sentence,
    }


def _lines(found: Comparison) -> list[str]:
    from surveyapp.analysis.compare_notes import notes_of

    unit = UNITS[found.quantity.value]
    lines = [found.sentence, ""]
    if found.pairs:
        lines += table(
            ("place", found.first, found.second, "ratio"),
            [
                (
                    pair.place,
                    f"{pair.first_value:.1f} {unit}",
                    f"{pair.second_value:.1f} {unit}",
                    f"{pair.first_value / pair.second_value:.2f}",
                )
                for pair in found.pairs
            ],
        )
        lines.append("")
    lines += [*pairs(_figures(found)), ""]
    return lines + list(notes_of(found)) + [f"Doubt: {doubt}" for doubt in found.doubts]


def _figures(found: Comparison) -> list[tuple[str, str]]:
    """Names and values of what is known."""
    from surveyapp.analysis.compare_words import figure

    told = [("pairs", str(len(found.pairs)))]
    if found.ratio is None:
        return told
    one = found.ratio
    rank = f"{figure(one.rank.low)} to {figure(one.rank.high)}"
    return [
        *told,
        ("ratio of means", figure(one.ratio)),
        ("95 % interval", f"{figure(one.interval.low)} to {figure(one.interval.high)}"),
        (
            "typical ratio",
            f"{figure(one.typical)}, by ranks {rank} at {100 * one.rank.confidence:.1f} %",
        ),
        (
            "exact test" if one.exact else "test",
            f"p {one.p:.4f}" if one.p >= 0.0001 else "p < 0.0001",
        ),
    ]
