"""`surveyapp channel`: what a channel number, a frequency or a band's name stands for."""

from __future__ import annotations

from collections.abc import Sequence

import click

from surveyapp.commands.arguments import Command
from surveyapp.commands.output import answer, json_option, pairs, table

KINDS = {"nr": "NR-ARFCN", "gscn": "GSCN", "lte": "EARFCN"}


@click.command(cls=Command, short_help="What a channel number, a frequency or a band is.")
@click.argument("text", metavar="TEXT", nargs=-1, required=True)
@json_option
def command(text: tuple[str, ...], as_json: bool) -> None:
    """Channel numbers, MHz and bands: 'nr 2079167', 'gscn 22300', 'lte 6300', '26.5 GHz', 'n258'.

    A frequency alone does not tell the band: every band that holds it is listed. A band alone
    does not tell the channel: its lowest, middle and highest number are offered.
    """
    from surveyapp.radio.channels import channel, usual_channels

    found = channel(" ".join(text))
    usual = usual_channels(found.bands[0]) if found.is_band else ()
    values: dict[str, object] = {
        "mhz": found.mhz,
        "bands": list(found.bands),
        "numbers": {kind: list(numbers) for kind, numbers in found.numbers.items()},
    }
    if usual:
        values["usual"] = [{"number": number, "mhz": mhz} for number, mhz in usual]
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
    answer(values, [*lines, "", *bands, *_usual_lines(usual)], as_json=as_json)


def _usual_lines(usual: Sequence[tuple[int, float]]) -> list[str]:
    """Where in a band typed with no channel one mostly looks."""
    if not usual:
        return []
    rows = [
        (place, str(number), f"{mhz:.3f}".rstrip("0").rstrip("."))
        for place, (number, mhz) in zip(("lowest", "middle", "highest"), usual, strict=False)
    ]
    return ["", *table(("usual channels", "number", "MHz"), rows)]
