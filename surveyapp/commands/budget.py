"""`surveyapp budget`: from a sector's EIRP to the RSRP a phone should read, decibel by decibel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from surveyapp.commands.arguments import Command, number
from surveyapp.commands.output import answer, json_option, table
from surveyapp.errors import InvalidValue

if TYPE_CHECKING:
    from surveyapp.radio.link_budget import Link

SCENARIOS = {  # by TR 38.901, with a usual height in m
    "street": ("UMI", 8.0),
    "roof": ("UMA", 25.0),
    "rural": ("RMA", 35.0),
}
SHELLS = {"plain-glass": "LOW_LOSS", "coated-glass": "HIGH_LOSS", "car": "CAR"}
BUILDINGS = {"plain-glass", "coated-glass"}
RANGES = {  # of the options that take a number: from, to, unit
    "mhz": (500.0, 100_000.0, "MHz"),
    "width": (1.0, 2000.0, "MHz"),
    "eirp": (-30.0, 100.0, "dBm"),
    "distance": (0.0, 10_000.0, "m"),
    "height": (2.0, 150.0, "m"),
    "off": (-180.0, 180.0, "degrees"),
    "beamwidth": (1.0, 360.0, "degrees"),
    "blocked": (0.0, 100.0, "%"),
    "rain": (0.0, 500.0, "mm/h"),
    "leaves": (0.0, 400.0, "m"),
    "inside": (0.0, 25.0, "m"),
    "body": (0.0, 40.0, "dB"),
}


@click.command(cls=Command, short_help="Where the decibels go on the way to a phone.")
@click.option("--mhz", metavar="F", required=True, help="Frequency of the carrier.")
@click.option("--width", metavar="MHZ", required=True, help="Its bandwidth.")
@click.option("--lte", is_flag=True, help="An LTE carrier; otherwise NR.")
@click.option("--eirp", metavar="DBM", required=True, help="Of all the carrier, at the peak.")
@click.option("--distance", metavar="M", required=True, help="Along the ground.")
@click.option("--scenario", type=click.Choice(list(SCENARIOS)), default="street",
              show_default=True, help="Where the antennas hang.")  # fmt: skip
@click.option("--height", metavar="M", help="Of the antennas; usually 8, 25 and 35 m there.")
@click.option("--off", metavar="DEG", default="0", help="Angle off the boresight.")
@click.option("--beamwidth", metavar="DEG", default="65", show_default=True,
              help="Between the half-power points.")  # fmt: skip
@click.option("--blocked", metavar="PCT", default="0", help="Chance of a blocked line of sight.")
@click.option("--rain", metavar="MM_H", default="0", help="Rain rate.")
@click.option("--leaves", metavar="M", default="0", help="Depth of leaves on the line.")
@click.option("--behind", type=click.Choice(list(SHELLS)), help="What the phone is in.")
@click.option("--inside", metavar="M", help="Way inside that building.")
@click.option("--body", metavar="DB", help="Hand and body; usually 3 dB, 6 dB above 24 GHz "
              "(common practice).")  # fmt: skip
@json_option
def command(as_json: bool, **given: Any) -> None:
    """A link budget outdoors, in a car or in a building, each term with its number and source.

    An estimate: medians of many streets, buildings and rains (3GPP TR 38.901, ITU-R).
    """
    from surveyapp.radio.link_budget import link_budget

    if given["inside"] is not None and given["behind"] not in BUILDINGS:
        raise InvalidValue("--inside counts in a building: give --behind plain-glass too.")
    found = link_budget(_link(given))
    values = {
        "terms": [{"term": one.name, "db": one.db, "note": one.why} for one in found.terms],
        "rsrp_dbm": found.rsrp_dbm,
        "sigma_db": found.sigma_db,
    }
    rows = [(one.name, f"{one.db:.1f}", one.why) for one in found.terms]
    rows.append(("RSRP", f"{found.rsrp_dbm:.1f}", f"dBm, ± {found.sigma_db:.1f} dB"))
    answer(values, table(("term", "dB", "note"), rows), as_json=as_json)


def _link(given: dict[str, Any]) -> Link:
    """The link that the options describe."""
    from surveyapp.geometry.serving_terms import LOWEST_TIME_DIVISION_MHZ
    from surveyapp.model import Rat
    from surveyapp.radio.antenna import pattern_db
    from surveyapp.radio.link_budget import Link
    from surveyapp.radio.penetration import Shell
    from surveyapp.radio.propagation import Scenario
    from surveyapp.radio.resource_grid import (
        SUBCARRIERS_PER_BLOCK,
        resource_blocks,
        usual_spacing_khz,
    )

    told = {
        name: number(given[name], f"--{name}", *span)
        for name, span in RANGES.items()
        if given[name] is not None
    }
    mhz, rat = told["mhz"], Rat.LTE if given["lte"] else Rat.NR
    spacing_khz = usual_spacing_khz(mhz, rat=rat, time_division=mhz >= LOWEST_TIME_DIVISION_MHZ)
    blocks = resource_blocks(told["width"], spacing_khz, rat=rat, mhz=mhz)
    scenario, height_m = SCENARIOS[given["scenario"]]
    return Link(
        eirp_dbm=told["eirp"],
        subcarriers=float(SUBCARRIERS_PER_BLOCK * blocks),
        mhz=mhz,
        distance_2d_m=told["distance"],
        blocked=told["blocked"] / 100.0,
        pattern_db=float(pattern_db(told["off"], 0.0, beamwidth_deg=told["beamwidth"])),
        scenario=Scenario[scenario],
        base_height_m=told.get("height", height_m),
        rain_mm_h=told["rain"],
        foliage_m=told["leaves"],
        shell=Shell[SHELLS[given["behind"]]] if given["behind"] else Shell.OUTDOORS,
        indoor_depth_m=told.get("inside", 0.0),
        body_db=told.get("body"),
    )
