"""`surveyapp rate`: what a set of carriers could carry at most, and at a measured SINR."""

from __future__ import annotations

import click

from surveyapp.commands.arguments import Command, number
from surveyapp.commands.output import answer, json_option, pairs
from surveyapp.errors import InvalidValue

EVERY_SLOT = "All slots are counted: in time division give --tdd, such as --tdd 'mid-band'."


@click.command(cls=Command, short_help="What a set of carriers could carry.")
@click.option(
    "--carriers", "carriers", multiple=True, metavar="TEXT",
    help="COUNTxMHZ@SPACING:LAYERSLMODULATION, such as 4x100@120kHz:2L64QAM; 'lte ' in front "
    "for LTE; several joined by + or given one by one.",
)  # fmt: skip
@click.option("--sinr", "sinr_text", metavar="DB", help="What the phone shows.")
@click.option(
    "--tdd", "slots", metavar="SLOTS",
    help="With --sinr: slots such as DDDSU or 'DDDDDDDSUU 6:4:4', or a preset (common practice): "
    "'millimetre wave', mid-band, 'mid-band, short', even, lte.",
)  # fmt: skip
@json_option
def command(
    carriers: tuple[str, ...], sinr_text: str | None, slots: str | None, as_json: bool
) -> None:
    """Peak downlink rate (3GPP TS 38.306), and the rate to expect at a measured SINR."""
    if not carriers:
        raise InvalidValue("Give --carriers, such as --carriers 4x100@120kHz:2L64QAM.")
    if slots is not None and sinr_text is None:
        raise InvalidValue("--tdd counts for the expected rate only: give --sinr too.")

    from surveyapp.model import Rat
    from surveyapp.radio.expected_rate import expected_rate
    from surveyapp.radio.quality import RULES_OF_THUMB
    from surveyapp.radio.rate_notation import link_carriers
    from surveyapp.radio.rates import peak_mbps
    from surveyapp.radio.tdd import tdd_pattern

    links = [link for text in carriers for link in link_carriers(text)]
    peak = peak_mbps(links)
    values = {"peak_mbps": peak}
    lines = [("peak", f"{peak:.1f} Mbit/s")]
    notes: tuple[str, ...] = ()
    if sinr_text is not None:
        sinr_db = number(sinr_text, "--sinr", -23.0, 40.0, "dB")
        found = expected_rate(links, sinr_db, tdd=None if slots is None else tdd_pattern(slots))
        values["expected_mbps"] = found.likely_mbps
        spread = f"{found.low_mbps:.0f} to {found.high_mbps:.0f} Mbit/s"
        lines += [("expected", f"{found.likely_mbps:.1f} Mbit/s, {spread}")]
        every_slot = slots is None and any(link.rat is Rat.NR for link in links)
        notes = (
            "",
            *(part.words for part in found.parts),
            *found.notes,
            *((EVERY_SLOT,) if every_slot else ()),
            RULES_OF_THUMB["SINR"],
        )
    answer(values, [*pairs(lines), *notes], as_json=as_json)
