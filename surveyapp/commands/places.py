"""`surveyapp places`: the names of stops' places, asked for over the network."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.finding import find_survey, open_notebook
from surveyapp.commands.output import answer, json_option
from surveyapp.errors import InvalidValue, NoAnswer

if TYPE_CHECKING:
    from surveyapp.model import Stop
    from surveyapp.sensors.place_names import PlaceNames
    from surveyapp.store.notebook import Notebook


@click.command(cls=Command, short_help="Ask for the names of places.")
@click.argument("notebook", type=click.Path(path_type=Path))
@click.option("--survey", metavar="TITLE", help="Its title; otherwise that of the newest stop.")
@click.option("--stop", "number", type=int, metavar="N", help="Only this stop.")
@json_option
def command(notebook: Path, survey: str | None, number: int | None, as_json: bool) -> None:
    """Ask OpenStreetMap's Nominatim for the names of a survey's places, and keep them.

    Only stops with a position and without a place in words are asked for, one a second; their
    positions go to nominatim.openstreetmap.org, nothing else does. No other command uses a
    network. One undo in the app takes the names back.
    """
    with open_notebook(notebook) as opened:
        found = find_survey(opened, survey)
        stops = _nameless(opened, found.id, number)
        named, nameless = _asked(opened, _service(), stops, quiet=as_json)
        if named:
            opened.save(*named, what="names of places")
    values = {
        "survey": found.title,
        "asked": len(stops),
        "named": [{"stop": stop.number, "place": stop.place_text} for stop in named],
        "nameless": [stop.number for stop in nameless],
    }
    lines = [f"Stop {stop.number}: {stop.place_text}" for stop in named]
    lines += [f"Stop {stop.number}: no name is known there." for stop in nameless]
    answer(values, lines or ["No stop lacks the name of its place: nobody was asked."],
           as_json=as_json)  # fmt: skip


def _service() -> PlaceNames:
    from surveyapp.sensors.place_names import NominatimNames

    return NominatimNames()


def _nameless(notebook: Notebook, survey_id: str, number: int | None) -> list[Stop]:
    """The stops to be asked for; a stop named by its number must be one."""
    from surveyapp.model import Stop

    stops = notebook.all(Stop, survey_id=survey_id)
    wanted = [stop for stop in stops if number is None or stop.number == number]
    if number is not None and not wanted:
        raise InvalidValue(f"The survey has no stop {number}.", value=number)
    return [stop for stop in wanted if stop.lat_deg is not None and not stop.place_text]


def _asked(
    notebook: Notebook, service: PlaceNames, stops: list[Stop], *, quiet: bool
) -> tuple[list[Stop], list[Stop]]:
    """The stops with their names, and those where no name is known."""
    from surveyapp.sensors.place_names import place_name

    named: list[Stop] = []
    nameless: list[Stop] = []
    for count, stop in enumerate(stops, start=1):
        assert stop.lat_deg is not None
        assert stop.lon_deg is not None
        if not quiet:
            click.echo(f"Asking for place {count} of {len(stops)}.", err=True)
        try:
            name = place_name(service, notebook, stop.lat_deg, stop.lon_deg)
        except NoAnswer:
            nameless.append(stop)
        else:
            named.append(replace(stop, place_text=name))
    return named, nameless
