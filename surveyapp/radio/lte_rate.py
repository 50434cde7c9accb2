"""What an LTE carrier carries, counted from its resource elements.

The transport block sizes of 3GPP TS 36.213 table 7.1.7.2.1-1 are not shipped: no package to
check them against was found. Counting elements (TS 36.211 clauses 6.2 and 6.10.1) times the
efficiency of the CQI table, with the code rate held to the 0.87 where that table's largest
blocks stop (from memory), comes out at those blocks or up to 8 % above them.
"""

from __future__ import annotations

from surveyapp.radio.modulation import Modulation, link_rows

SPREAD = 0.08  # how far the count lies above the table's largest blocks at most
HIGHEST_CODE_RATE = 0.87  # of the table's largest blocks, from memory
SUBFRAMES_PER_SECOND = 1000.0
# Cell reference signals outside the first control symbol, in one block and subframe, by ports
# (TS 36.211 clause 6.10.1.2: 8, 16 and 24 in all, of which 2, 4 and 4 in the first symbol)
_REFERENCE_ELEMENTS = {1: 6, 2: 12, 4: 20}


def lte_mbps(
    *,
    blocks: int,
    layers: int,
    modulation: Modulation,
    efficiency: float,
    control_symbols: int = 1,
) -> float:
    """Mbit/s of one LTE carrier at a modulation and an efficiency in bit/s/Hz on each layer.

    `control_symbols` (1 to 3) are those of the control region. Frequency division; the share
    of time division is the caller's.
    """
    ports = 1 if layers == 1 else 2 if layers == 2 else 4
    data = 12 * (14 - control_symbols) - _REFERENCE_ELEMENTS[ports]
    bits_per_element = min(efficiency, HIGHEST_CODE_RATE * modulation.bits)
    return 1e-6 * blocks * data * layers * bits_per_element * SUBFRAMES_PER_SECOND


def lte_peak_mbps(*, blocks: int, layers: int, modulation: Modulation) -> float:
    """Peak Mbit/s of one LTE carrier: its best CQI row with one control symbol."""
    best = link_rows(modulation)[-1]
    return lte_mbps(blocks=blocks, layers=layers, modulation=modulation, efficiency=best.efficiency)
