"""From a measured SINR to the modulation and code rate a link would choose.

No standard ties a SINR to a CQI. The mapping here is the attenuated Shannon bound that 3GPP
uses in its coexistence studies: efficiency = alpha log2(1 + SINR), with alpha 0.6 and nothing
below -10 dB (TR 36.942 annex A.2, TR 38.803 clause 5.2.7; from memory). The highest CQI row
(TS 38.214 clause 5.2.2.1) not above that bound is taken. Its spread is ours: alpha 0.45 for
a moving, multipath link, and 0.85 for a still one, which is what simulated block error rates
of the standard's own codes in plain noise give (see the tests).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from operator import attrgetter

from surveyapp.radio.arrays import number
from surveyapp.radio.modulation import CodingRow, Modulation, link_rows

ALPHA_LOW, ALPHA_LIKELY, ALPHA_HIGH = 0.45, 0.6, 0.85
LOWEST_SINR_DB = -10.0  # TR 36.942 annex A.2
SINR_RANGE_DB = (-23.0, 40.0)  # TS 38.133 clause 10.1.16.1, what a phone can report
_efficiency = attrgetter("efficiency")


@dataclass(frozen=True, slots=True)
class LinkChoice:
    """What a link would use: layers, the CQI row (None where nothing gets through)."""

    layers: int
    row: CodingRow | None

    @property
    def bits_per_element(self) -> float:
        """Bits on one resource element over all layers."""
        return self.layers * self.row.efficiency if self.row else 0.0


def shannon_efficiency(sinr_db: float, alpha: float = ALPHA_LIKELY) -> float:
    """Attenuated Shannon bound in bit/s/Hz on one layer; 0 below -10 dB."""
    if sinr_db < LOWEST_SINR_DB:
        return 0.0
    return alpha * math.log2(1.0 + 10.0 ** (sinr_db / 10.0))


def coding_row(
    sinr_db: float,
    highest: Modulation = Modulation.QAM256,
    *,
    alpha: float = ALPHA_LIKELY,
    table: int | None = None,
) -> CodingRow | None:
    """The CQI row one layer would use at this SINR, None where even the lowest is too much."""
    bound = shannon_efficiency(number(sinr_db, -60.0, 60.0, "SINR", "dB"), alpha)
    rows = link_rows(highest, table)
    fitting = bisect_right(rows, bound, key=_efficiency)
    return rows[fitting - 1] if fitting else None


def link_choice(
    sinr_db: float,
    highest: Modulation,
    layers: int,
    *,
    alpha: float = ALPHA_LIKELY,
    table: int | None = None,
) -> LinkChoice:
    """Layers and CQI row that carry most, up to `layers` and the `highest` modulation.

    The measured SINR is that of one port at full power; each of several layers gets its
    share of it (10 log10 of their number less). A SINR no phone reports, outside -23 to
    40 dB, raises OutOfRange.
    """
    checked = number(sinr_db, *SINR_RANGE_DB, "SINR", "dB")
    choices = [
        LinkChoice(
            count,
            coding_row(checked - 10.0 * math.log10(count), highest, alpha=alpha, table=table),
        )
        for count in range(1, layers + 1)
    ]
    return max(choices, key=lambda choice: choice.bits_per_element)
