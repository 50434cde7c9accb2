"""`surveyapp expect`: what the readings and runs of a stop should show, and why they differ."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import find_device, find_stop, learned_offsets, open_notebook
from surveyapp.commands.output import answer, json_option, table
from surveyapp.errors import NotFound

if TYPE_CHECKING:
    from surveyapp.analysis.doubts import Doubt
    from surveyapp.analysis.expectation import StopExpectations
    from surveyapp.analysis.expected import Line, Reason
    from surveyapp.analysis.reading_expectation import LegExpectation
    from surveyapp.analysis.run_expectation import RunExpectation
    from surveyapp.model import StopScene

ALREADY = "[in what is expected]"
HEADINGS = ("term", "number", "note")


@click.command(cls=Command, short_help="Whether a stop's results are what they should be.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--survey", metavar="TITLE", help="Its title; otherwise that of the newest stop.")
@click.option("--stop", "number", type=int, metavar="N", help="Its number; otherwise the newest.")
@click.option("--device", metavar="LABEL", help="One phone only.")
@click.option("--lists", "with_lists", is_flag=True, help="Add where decibels and rates went.")
@json_option
def command(
    notebook: Path,
    survey: str | None,
    number: int | None,
    device: str | None,
    with_lists: bool,
    as_json: bool,
) -> None:
    """Hold each reading and speed run of a stop in NOTEBOOK against what it should show.

    All stops of the survey are looked at, since they tell more together: which panel hangs
    otherwise than noted, and by how much a phone shows too much.
    """
    from surveyapp.analysis.doubts import doubts_at

    scene, found, device_id = _look(notebook, survey, number, device)
    legs = [leg for leg in found.legs if device_id in {None, leg.device_id}]
    runs = [run for run in found.runs if device_id in {None, run.device_id}]
    if not legs and not runs:
        raise NotFound(
            f"Stop {scene.stop.number} holds no reading and no speed run"
            f"{f' of {device}' if device else ''}: enter one first."
        )
    labels = {one.id: one.label for one in scene.devices}
    doubts = doubts_at(scene, found.answers)
    values = {
        "survey": scene.survey.title,
        "stop": scene.stop.number,
        "place": scene.stop.place_text,
        "readings": [_leg_values(leg, labels) for leg in legs],
        "runs": [_run_values(run, labels) for run in runs],
        "doubts": [{"kind": d.kind, "words": d.words, "settle": d.settle} for d in doubts],
    }
    lines: list[str] = []
    for leg in legs:
        lines += _told(f"{labels[leg.device_id]}, {leg.leg}", leg.headline, leg.words, leg.reasons)
        lines += _lists((*leg.budget, *leg.quality, *leg.signalled)) if with_lists else []
    for run in runs:
        lines += _told(f"{labels[run.device_id]}, speed run", run.headline, run.words, run.limits)
        lines += _lists((*run.rate_lines, *run.ping_lines)) if with_lists else []
    if with_lists:
        told = [*(leg.rules for leg in legs), *(run.rules for run in runs)]
        rules = dict.fromkeys(rule for rules in told for rule in rules)
        lines += ["", "Rules of thumb", *(f"- {rule}" for rule in rules)]
    answer(values, [*lines[1:], *_doubt_lines(doubts)], as_json=as_json)


def _look(
    path: Path, survey: str | None, number: int | None, device: str | None
) -> tuple[StopScene, StopExpectations, str | None]:
    """The stop asked for, what is expected there, and the one phone's id if one was named."""
    from surveyapp.analysis.expectation import survey_view
    from surveyapp.model import Stop

    with open_notebook(path) as notebook:
        stop = find_stop(notebook, survey, number)
        device_id = None if device is None else find_device(notebook, device).id
        offsets = learned_offsets(notebook)
        stops = notebook.all(Stop, survey_id=stop.survey_id)
        scenes = list(notebook.stop_scenes(one.id for one in stops))
    place = [one.id for one in stops].index(stop.id)
    return scenes[place], survey_view(scenes, offsets).expectations[place], device_id


def _leg_values(leg: LegExpectation, labels: Mapping[str, str]) -> dict[str, object]:
    """One leg with the keys a sheet shows."""
    return {
        "device": labels[leg.device_id],
        "leg": leg.leg,
        "sector": leg.sector or None,
        "probability": leg.probability,
        "rsrp_dbm": leg.rsrp.measured,
        "expected_dbm": leg.rsrp.mean,
        "sigma_db": leg.rsrp.sigma,
        "difference_sigmas": leg.rsrp.sigmas,
        "headline": leg.headline,
        "words": leg.words,
        "reasons": _reason_values(leg.reasons, "effect_db"),
        "budget": _line_values(leg.budget),
        "quality": _line_values(leg.quality),
        "signalled": _line_values(leg.signalled),
        "rules_of_thumb": list(leg.rules),
    }


def _run_values(run: RunExpectation, labels: Mapping[str, str]) -> dict[str, object]:
    """One run with the keys a sheet shows."""
    return {
        "device": labels[run.device_id],
        "down_mbps": run.down.measured,
        "expected_mbps": run.likely_mbps,
        "low_mbps": run.low_mbps,
        "high_mbps": run.high_mbps,
        "peak_mbps": run.peak_mbps,
        "share": run.share,
        "up_mbps": run.up.measured,
        "ping_ms": run.ping.measured,
        "expected_ping_ms": run.ping.mean,
        "lowest_ping_ms": run.lowest_ping_ms,
        "headline": run.headline,
        "words": run.words,
        "limits": _reason_values(run.limits, "factor"),
        "rate": _line_values(run.rate_lines),
        "ping": _line_values(run.ping_lines),
        "rules_of_thumb": list(run.rules),
    }


def _reason_values(reasons: Sequence[Reason], effect: str) -> list[dict[str, object]]:
    return [
        {
            "cause": reason.cause,
            "title": reason.title,
            "how_sure": reason.how_sure,
            "probability": reason.probability,
            "already_expected": reason.counted,
            effect: reason.effect,
            "words": reason.words,
            "next_step": reason.next_step,
            "evidence": _line_values(reason.evidence),
        }
        for reason in reasons
    ]


def _line_values(lines: Iterable[Line]) -> list[dict[str, object]]:
    return [
        {"term": line.term, "number": line.number, "unit": line.unit, "note": line.note}
        for line in lines
    ]


def _told(title: str, headline: str, words: str, reasons: Sequence[Reason]) -> list[str]:
    """One entry for a reader: verdict with chief cause, a sentence, the reasons in order."""
    said = [headline + "."] if not words.startswith(headline) else []
    return ["", title, *said, words, *(f"- {_reason_words(reason)}" for reason in reasons)]


def _reason_words(reason: Reason) -> str:
    return f"{ALREADY} {reason.told}" if reason.counted else reason.told


def _lists(lines: Iterable[Line]) -> list[str]:
    """Where the decibels or the rate went."""
    body = [(line.term, _figure(line), line.note) for line in lines]
    return ["", *table(HEADINGS, body)]


def _figure(line: Line) -> str:
    if line.number is None:
        return "-"
    return f"{line.number:.1f} {line.unit}" if line.unit else f"{line.number:g}"


def _doubt_lines(doubts: Sequence[Doubt]) -> list[str]:
    """What weakens all this, and how to settle it."""
    told = dict.fromkeys(f"- {doubt.words} {doubt.settle}" for doubt in doubts)
    return ["", "Doubts", *told] if told else []
