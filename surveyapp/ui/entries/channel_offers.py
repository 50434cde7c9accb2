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


def look_up(
    value: str, rat: Rat, band: str, channel: str, width_mhz: float | None
) -> Callable[[], tuple[Choice, ...]] | None:
    """How to look up what a carrier's `value` may be; only 'band' and 'channel' can be."""
    if value == "band":
        return partial(offered_bands, rat, band, channel)
    if value == "channel":
        return partial(offered_channels, rat, band, channel, width_mhz or 0.0)
    return None
