"""`surveyapp channel`: what a channel number, a frequency or a band's name stands for."""

from __future__ import annotations

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option, pairs, table

KINDS = {"nr": "NR-ARFCN", "gscn": "GSCN", "lte": "EARFCN"}


@click.command(cls=Command, short_help="What a channel number, a frequency or a band is.")
@click.argument("text", metavar="TEXT", nargs=-1, required=True)
@json_option
def command(text: tuple[str, ...], as_json: bool) -> None:
    """Channel numbers, MHz and bands: 'nr 2079167', 'gscn 22300', 'lte 6300', '26.5 GHz', 'n258'.

    A frequency alone does not tell the band: every band that holds it is listed.
    """
    from surveyapp.radio.channels import channel

    found = channel(" ".join(text))
    values = {
        "mhz": found.mhz,
        "bands": list(found.bands),
        "numbers": {kind: list(numbers) for kind, numbers in found.numbers.items()},
    }
    lines = pairs(
        [("MHz", f"{found.mhz:.6f}".rstrip("0").rstrip("."))]
        + [(KINDS[kind], ", ".join(map(str, numbers))) for kind, numbers in found.numbers.items()]
    )
    bands = table(
        ("band", "RAT", "duplex", "direction", "paired with"),
        [
            (
                use.name,
                use.rat.value,
                use.duplex.value,
                use.direction.value if use.direction else "both",
                f"{use.partner_mhz:.3f} MHz" if use.partner_mhz is not None else "-",
            )
            for use in found.uses
        ],
    )
    answer(values, [*lines, "", *bands], as_json=as_json)
