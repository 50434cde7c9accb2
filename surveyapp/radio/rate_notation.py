"""The one-line notation of a link's carriers: '4x100@120kHz:2L64QAM'.

COUNTxBANDWIDTH@SPACING:LAYERSLMODULATION, bandwidth in MHz; several kinds are joined by '+'.
'lte ' in front makes it an LTE carrier, whose spacing may be left out. A table may follow,
as in '1x100@30kHz:4L256QAM/table2'.
"""

from __future__ import annotations

import re

from surveyapp.errors import InvalidValue
from surveyapp.model import Rat
from surveyapp.radio.modulation import modulation
from surveyapp.radio.rates import LinkCarrier

EXAMPLES = "4x100@120kHz:2L64QAM, 1x100@30kHz:4L256QAM + lte 10:2L64QAM"
_CARRIER = re.compile(
    r"""(?P<rat>lte|nr)?\s*
        (?:(?P<count>\d{1,4})\s*x\s*)?
        (?P<bandwidth>-?\d{1,5}(?:\.\d{1,3})?)(?:\s*mhz)?\s*
        (?:@\s*(?P<spacing>\d{1,4})\s*khz)?\s*
        :\s*(?P<layers>-?\d{1,5})\s*l\s*(?P<modulation>[0-9a-z-]{3,8})
        (?:\s*/\s*table\s*(?P<table>\d))?""",
    re.IGNORECASE | re.VERBOSE,
)


def link_carriers(text: str) -> tuple[LinkCarrier, ...]:
    """Read carriers in the notation of this module's first lines.

    Raises InvalidValue for what does not follow it, and whatever `LinkCarrier` refuses.
    """
    return tuple(_carrier(part.strip()) for part in text.split("+"))


def _carrier(text: str) -> LinkCarrier:
    """One kind of carrier."""
    found = _CARRIER.fullmatch(text)
    if found is None:
        raise InvalidValue(
            f"'{text}' is no set of carriers: write it like {EXAMPLES}.",
            value=text,
            allowed=EXAMPLES,
        )
    rat = Rat.LTE if (found["rat"] or "").lower() == "lte" else Rat.NR
    if found["spacing"] is None and rat is Rat.NR:
        raise InvalidValue(
            f"'{text}' lacks the subcarrier spacing: write it like {EXAMPLES}.",
            value=text,
            allowed="15, 30, 60, 120, 480, 960 kHz",
        )
    return LinkCarrier(
        rat=rat,
        count=int(found["count"] or 1),
        bandwidth_mhz=float(found["bandwidth"]),
        spacing_khz=float(found["spacing"] or 15),
        layers=int(found["layers"]),
        modulation=modulation(found["modulation"]),
        mcs_table=int(found["table"]) if found["table"] else None,
    )
