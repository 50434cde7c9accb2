"""What RSRP, RSRQ and SINR say together: received power, load, and what a link carries.

RSRQ = N x RSRP / RSSI with N the resource blocks RSSI is measured over (3GPP TS 38.215
clause 5.1.3, TS 36.214 clause 5.1.3). LTE takes RSSI in symbols that hold reference signals,
over the whole measured bandwidth; NR takes it in the window set for synchronisation blocks,
which need not hold any, so an NR figure says less about the load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from surveyapp.errors import NoAnswer
from surveyapp.model import Rat
from surveyapp.radio.arrays import number
from surveyapp.radio.link_adaptation import SINR_RANGE_DB, coding_row
from surveyapp.radio.modulation import Modulation, link_rows

ELEMENTS = 12.0  # resource elements of one block in one symbol
REFERENCE_ELEMENTS = {Rat.LTE: 2.0, Rat.NR: 0.0}  # always on in an RSSI symbol, one port
RSRP_RANGE_DBM = (-156.0, -31.0)  # TS 38.133 table 10.1.6.1-1
RSRQ_RANGE_DB = (-43.0, 20.0)  # TS 38.133 table 10.1.11.1-1

RULES_OF_THUMB = {  # by what they are about; common practice, no standard says so
    "RSRP": "RSRP above -80 dBm is near the site, below -110 dBm the edge (common practice).",
    "RSRQ": "RSRQ near -11 dB is a full cell heard clearly, lower is interference "
    "(common practice).",
    "SINR": "SINR decides the rate: 20 dB and more for the highest modulation (common practice).",
    "phones": "Two phones differ by several dB at one place (common practice).",
    "body": "A hand or a body in the way costs 3 to 15 dB, more at 28 GHz (common practice).",
}


def rssi_dbm(rsrp_dbm: float, rsrq_db: float, blocks: int) -> float:
    """RSSI in dBm over the `blocks` it was measured on: RSRP - RSRQ + 10 log10 N.

    Source: TS 38.215 clause 5.1.3, TS 36.214 clause 5.1.3. Raises OutOfRange for values no
    phone reports.
    """
    rsrp = number(rsrp_dbm, *RSRP_RANGE_DBM, "RSRP", "dBm")
    rsrq = number(rsrq_db, *RSRQ_RANGE_DB, "RSRQ", "dB")
    count = number(blocks, 1, 1000, "number of resource blocks", "blocks")
    return rsrp - rsrq + 10.0 * math.log10(count)


def load(rsrq_db: float, sinr_db: float, rat: Rat) -> float:
    """Share of this cell's data elements in use, 0 to 1, from RSRQ and SINR together.

    From 1 / RSRQ = reference + (12 - reference) load + 12 / SINR on one port with all
    elements at equal power: noise and other cells are what the SINR says. LTE has 2 reference
    elements in 12 there; NR none that is always on, so its figure is the share of the window
    that held any of the cell's power. Raises NoAnswer where the two values contradict each
    other (see `rsrq_bounds_db`); within 1 dB of a bound the bound is taken.
    """
    rsrq = number(rsrq_db, *RSRQ_RANGE_DB, "RSRQ", "dB")
    lowest, highest = rsrq_bounds_db(sinr_db, rat)
    if not lowest - 1.0 <= rsrq <= highest + 1.0:
        raise NoAnswer(
            f"RSRQ {rsrq:g} dB does not go with SINR {sinr_db:g} dB: between {lowest:.1f} and "
            f"{highest:.1f} dB would; read both again."
        )
    reference = REFERENCE_ELEMENTS[rat]
    in_use = _linear(-rsrq) - reference - ELEMENTS * _linear(-sinr_db)
    return min(max(in_use / (ELEMENTS - reference), 0.0), 1.0)


def rsrq_bounds_db(sinr_db: float, rat: Rat) -> tuple[float, float]:
    """Lowest (full cell) and highest (empty cell) RSRQ in dB that go with a SINR.

    One port, as in `load`. Without noise an LTE cell lies between -10.79 and -3.01 dB. NR is
    at most 20 dB, where the report ends.
    """
    noise = ELEMENTS * _linear(-number(sinr_db, *SINR_RANGE_DB, "SINR", "dB"))
    full = -10.0 * math.log10(ELEMENTS + noise)
    empty = -10.0 * math.log10(REFERENCE_ELEMENTS[rat] + noise)
    return full, min(empty, RSRQ_RANGE_DB[1])


@dataclass(frozen=True, slots=True)
class Carried:
    """What one layer carries at a SINR, instead of a word on a scale."""

    modulation: Modulation | None
    code_rate: float
    bits_per_element: float
    share_of_peak: float

    @property
    def words(self) -> str:
        """'64QAM at rate 0.55, 45 % of peak'."""
        if self.modulation is None:
            return "nothing gets through"
        return f"{self.modulation} at rate {self.code_rate:.2f}, {self.share_of_peak:.0%} of peak"


def carried(sinr_db: float, highest: Modulation = Modulation.QAM256) -> Carried:
    """Modulation, code rate and share of peak that one layer reaches at a SINR in dB.

    The peak is the best row of the table used with the `highest` modulation. The mapping is
    that of `link_adaptation`; raises OutOfRange for a SINR no phone reports.
    """
    row = coding_row(number(sinr_db, *SINR_RANGE_DB, "SINR", "dB"), highest)
    if row is None:
        return Carried(None, 0.0, 0.0, 0.0)
    peak = link_rows(highest)[-1].efficiency
    return Carried(row.modulation, row.rate_x1024 / 1024, row.efficiency, row.efficiency / peak)


def _linear(decibels: float) -> float:
    """A ratio from decibels."""
    return math.pow(10.0, decibels / 10.0)
