"""`surveyapp serving`: which sector most likely serves at a place, and what would settle it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from surveyapp.commands.arguments import (
    Command,
    bearing,
    each,
    latitude,
    longitude,
    number,
    optional,
    position,
)
from surveyapp.commands.finding import find_device, find_stop, learned_offsets, open_notebook
from surveyapp.commands.output import answer, json_option
from surveyapp.commands.serving_answer import leg_lines, serving_lines, serving_values
from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import Device, Stop, View

if TYPE_CHECKING:
    from surveyapp.analysis.standing import LegAnswer
    from surveyapp.geometry.serving import Candidate

HIGHEST_PCI = 1007.0  # TS 38.211 section 7.4.2.1
NONE_NAME = "none"
KEYS = {  # of --sector: what it is called, its range and unit
    "height_m": ("height", 2.0, 150.0, "m"),
    "eirp_dbm": ("EIRP", -30.0, 100.0, "dBm"),
    "beamwidth_deg": ("beamwidth", 1.0, 360.0, "degrees"),
    "pci": ("PCI", 0.0, HIGHEST_PCI, ""),
}
SHAPE = "NAME,LAT,LON,AZIMUTH"


@click.command(cls=Command, short_help="Which sector most likely serves.")
@click.option("--at", "place", metavar="LAT,LON", help="Where the phone is.")
@click.option(
    "--sector", "sectors", multiple=True, metavar=SHAPE,
    help=f"One for each sector; after a comma also {', '.join(f'{key}=' for key in KEYS)}.",
)  # fmt: skip
@click.option("--mhz", "mhz_text", metavar="F", help="Frequency of the carrier.")
@click.option("--rsrp", "rsrp_text", metavar="DBM", help="What the phone shows.")
@click.option("--pci", "pci_text", metavar="N", help="The cell identity the phone shows.")
@click.option("--view", type=click.Choice([view.value for view in View]),
              help="How freely the sectors are seen from there.")  # fmt: skip
@click.option("--notebook", type=click.Path(path_type=Path), metavar="FILE",
              help="Ask about a stop of this notebook instead.")  # fmt: skip
@click.option("--stop", type=int, metavar="N", help="Its number; otherwise the newest stop.")
@click.option("--survey", metavar="TITLE", help="The stop's survey; otherwise the newest one.")
@click.option("--device", metavar="LABEL", help="The phone asked about; otherwise the first.")
@click.option("--leg", type=click.Choice(["5G", "LTE"]), help="The leg asked about.")
@json_option
def command(
    place: str | None,
    sectors: tuple[str, ...],
    mhz_text: str | None,
    rsrp_text: str | None,
    pci_text: str | None,
    view: str | None,
    notebook: Path | None,
    stop: int | None,
    survey: str | None,
    device: str | None,
    leg: str | None,
    as_json: bool,
) -> None:
    """The serving sector as probabilities, from arguments or from a stop of a notebook.

    An estimate: it assumes urban street-level propagation (3GPP TR 38.901).
    """
    by_hand = {
        "--at": place, "--sector": sectors or None, "--mhz": mhz_text, "--rsrp": rsrp_text,
        "--pci": pci_text, "--view": view,
    }  # fmt: skip
    by_stop = {"--stop": stop, "--survey": survey, "--device": device, "--leg": leg}
    if notebook is not None:
        _refuse(by_hand, "--notebook")
        legs, labels = _legs(notebook, survey, stop, device, leg)
        answer(serving_values(legs[0].answer), leg_lines(legs, labels), as_json=as_json)
        return
    _refuse(by_stop, "--at and --sector")
    if place is None or not sectors:
        raise InvalidValue("Give --at LAT,LON and at least one --sector, or --notebook FILE.")

    from surveyapp.geometry.serving import Observation, serving

    lat_deg, lon_deg = position(place, "--at")
    observation = Observation(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        mhz=optional(mhz_text, number, "--mhz", 500.0, 100_000.0, "MHz"),
        rsrp_dbm=optional(rsrp_text, number, "--rsrp", -156.0, -29.0, "dBm"),
        pci=None if pci_text is None else _pci(pci_text, "--pci"),
    )
    found = serving(observation, _candidates(sectors, None if view is None else View(view)))
    answer(serving_values(found), serving_lines(found), as_json=as_json)


def _refuse(options: Mapping[str, object], with_option: str) -> None:
    """Options that belong to the other way of asking must not be passed over in silence."""
    wrong = [name for name, given in options.items() if given is not None]
    if wrong:
        raise InvalidValue(f"{', '.join(wrong)} cannot go with {with_option}.", value=wrong)


def _candidates(texts: tuple[str, ...], view: View | None) -> list[Candidate]:
    found = each(lambda text, _: _candidate(text, view), texts)
    names = [candidate.name for candidate in found]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InvalidValue(
            f"The sector name {', '.join(twice)} stands twice: give each its own.", value=twice
        )
    return found


def _candidate(text: str, view: View | None) -> Candidate:
    from surveyapp.geometry.serving import Candidate

    name, *parts = [part.strip() for part in text.split(",")]
    where = f"Sector '{name}'"
    if len(parts) < 3 or not name or name == NONE_NAME:
        raise InvalidValue(
            f"--sector '{text[:60]}' cannot be used: give {SHAPE} with a name other than 'none', "
            "such as A,60.1702,24.9380,190.",
            value=text,
            allowed=SHAPE,
        )
    more: dict[str, Any] = dict(_more(part, where) for part in parts[3:])
    return Candidate(
        name=name,
        lat_deg=latitude(parts[0], where),
        lon_deg=longitude(parts[1], where),
        azimuth_deg=bearing(parts[2], f"{where}: the azimuth"),
        view=view,
        **more,
    )


def _more(part: str, where: str) -> tuple[str, float | int]:
    key, equals, text = part.partition("=")
    if not equals or key not in KEYS:
        raise InvalidValue(
            f"{where}: '{part[:40]}' is not understood: after the azimuth give "
            f"{', '.join(f'{known}=' for known in KEYS)} only.",
            value=part,
            allowed=", ".join(KEYS),
        )
    if key == "pci":
        return key, _pci(text, f"{where}: the PCI")
    return key, number(text, f"{where}: the {KEYS[key][0]}", *KEYS[key][1:])


def _pci(text: str, what: str) -> int:
    value = number(text, what, 0.0, HIGHEST_PCI, "")
    if value != int(value):
        raise InvalidValue(f"{what} '{text}' is not a whole number.", value=text)
    return int(value)


def _legs(
    path: Path, survey: str | None, stop: int | None, device: str | None, leg: str | None
) -> tuple[list[LegAnswer], dict[str, str]]:
    """The answers asked for, joined with what the survey's other stops say of their PCIs.

    With them the labels of the phones by device id.
    """
    from surveyapp.analysis.tied_cells import survey_answers

    with open_notebook(path) as notebook:
        found = find_stop(notebook, survey, stop)
        stops = notebook.all(Stop, survey_id=found.survey_id)
        scenes = list(notebook.stop_scenes(one.id for one in stops))
        offsets = learned_offsets(notebook)
        labels = {one.id: one.label for one in notebook.all(Device)}
        wanted = None if device is None else find_device(notebook, device).id
    place = [one.id for one in stops].index(found.id)
    legs = [
        one
        for one in survey_answers(scenes, offsets)[place]
        if (leg is None or one.leg == f"{leg} leg") and wanted in {None, one.device_id}
    ]
    if not legs:
        raise NotFound(
            f"Stop {found.number} has no such leg: enter a reading of that phone first, or ask "
            "without --leg and --device."
        )
    return legs, labels
