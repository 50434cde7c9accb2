"""A band's usual channels where no channel was typed, a channel's bands where no band was."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from surveyapp.errors import SurveyError
from surveyapp.model import Rat
from surveyapp.ui.entries.field import Choice
from surveyapp.ui.words import number

LETTER = {Rat.NR: "n", Rat.LTE: "B"}
KIND = {Rat.NR: "nr", Rat.LTE: "lte"}
SPACINGS_KHZ = (15, 30, 60, 120)
MOST_WIDTHS = 6
USUAL_NR_MHZ = (5, 10, 20, 40, 60, 80, 100)  # of the widths below 6 GHz; common practice


def offered_bands(rat: Rat, band: str, channel: str) -> tuple[Choice, ...]:
    """The bands that hold a channel, of its own radio, while none is typed."""
    if band or not channel:
        return ()
    from surveyapp.radio.channels import channel as read  # numpy: when it is needed

    try:
        uses = read(f"{KIND[rat]} {channel}").uses
    except SurveyError:
        return ()  # not a channel yet: the field itself says what it may be
    return tuple(Choice(value=use.name[1:], label=use.name) for use in uses if use.rat is rat)


def offered_channels(rat: Rat, band: str, channel: str, width_mhz: float) -> tuple[Choice, ...]:
    """Lowest, middle and highest place of a carrier so wide in its band, while none is typed."""
    if channel or not band:
        return ()
    from surveyapp.radio.channels import usual_channels

    try:
        places = usual_channels(f"{LETTER[rat]}{band}", width_mhz)
    except SurveyError:
        return ()
    return tuple(
        Choice(value=str(place), label=f"{place} · {number(mhz, 2)} MHz") for place, mhz in places
    )


def widths_mhz(rat: Rat, band: str) -> tuple[float, ...]:
    """The carrier widths there are in a band: those of its frequency range that fit into it."""
    from surveyapp.radio.bands import band as read
    from surveyapp.radio.resource_grid import bandwidths_mhz

    try:
        entry = read(f"{LETTER[rat]}{band}")
    except SurveyError:
        return ()
    middle_mhz = sum(entry.main_mhz) / 2.0
    found = {w for khz in SPACINGS_KHZ for w in bandwidths_mhz(khz, rat=rat, mhz=middle_mhz)}
    return tuple(sorted(width for width in found if width <= entry.width_mhz))


def offered_widths(rat: Rat, band: str) -> tuple[Choice, ...]:
    """The widths of the band; of very many the usual ones."""
    there = widths_mhz(rat, band) if band else ()
    few = there if len(there) <= MOST_WIDTHS else [w for w in there if w in USUAL_NR_MHZ]
    return tuple(Choice(value=f"{width:g}", label=f"{width:g} MHz") for width in few)


def no_such_width(rat: Rat, band: str, width_mhz: float) -> str:
    """One sentence where no table has a carrier so wide in the band, else ''."""
    there = widths_mhz(rat, band) if band else ()
    if not there or width_mhz in there:
        return ""
    those = ", ".join(f"{width:g}" for width in there)
    return f"No carrier in {LETTER[rat]}{band} is {number(width_mhz)} MHz wide: {those} MHz are."


def look_up(
    value: str, rat: Rat, band: str, channel: str, width_mhz: float | None
) -> Callable[[], tuple[Choice, ...]] | None:
    """How to look up what a carrier's `value` may be; band, width and channel can be."""
    if value == "width":
        return partial(offered_widths, rat, band)
    if value == "band":
        return partial(offered_bands, rat, band, channel)
    if value == "channel":
        return partial(offered_channels, rat, band, channel, width_mhz or 0.0)
    return None
