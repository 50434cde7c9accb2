"""Resource blocks of a carrier, and the power of one resource element.

Sources: 3GPP TS 38.101-1 and 38.101-2 table 5.3.2-1 (NR), TS 36.101 table 5.6-1 (LTE);
the editions stand in `assets/data/resource_blocks.csv`.
"""

from __future__ import annotations

import math
from functools import lru_cache

from surveyapp.errors import InvalidValue
from surveyapp.model import Rat
from surveyapp.radio.arrays import number
from surveyapp.radio.tables import rows

SUBCARRIERS_PER_BLOCK = 12  # TS 38.211 clause 4.4.4.1, TS 36.211 clause 6.2.3
FIRST_FR2_MHZ = 24_250.0  # TS 38.104 table 5.1-1


def resource_blocks(
    bandwidth_mhz: float,
    spacing_khz: float = 15,
    *,
    rat: Rat = Rat.NR,
    mhz: float | None = None,
) -> int:
    """Resource blocks of a carrier of this bandwidth and subcarrier spacing.

    The spacing of 60 kHz is used in both frequency ranges: `mhz` decides, and without it the
    lower range (FR1) is taken where it has that bandwidth. Raises InvalidValue for a pair
    that does not exist, naming the ones that do.
    """
    for span in _ranges(mhz):
        blocks = _table().get((rat, span, float(spacing_khz), float(bandwidth_mhz)))
        if blocks is not None:
            return blocks
    raise _no_such_carrier(bandwidth_mhz, spacing_khz, rat, mhz)


def bandwidths_mhz(
    spacing_khz: float, *, rat: Rat = Rat.NR, mhz: float | None = None
) -> tuple[float, ...]:
    """The carrier bandwidths that exist with a subcarrier spacing, by rising width."""
    spans = _ranges(mhz)
    found = {
        width
        for kind, span, khz, width in _table()
        if kind is rat and khz == spacing_khz and span in spans
    }
    return tuple(sorted(found))


def usual_spacing_khz(mhz: float, *, rat: Rat = Rat.NR, time_division: bool = True) -> int:
    """The spacing mostly met: 120 kHz in FR2, 30 kHz in time division, else 15 kHz.

    Common practice; LTE always has 15 kHz (TS 36.211 clause 6.2.3).
    """
    if rat is Rat.LTE:
        return 15
    if mhz >= FIRST_FR2_MHZ:
        return 120
    return 30 if time_division else 15


def eirp_per_resource_element_dbm(eirp_dbm: float, subcarriers: float) -> float:
    """EIRP of one resource element in dBm, the carrier's spread evenly over its subcarriers.

    `eirp_dbm` is the whole carrier's, `subcarriers` 12 for each resource block.
    """
    count = number(subcarriers, 1, 500_000, "number of subcarriers", "subcarriers")
    eirp = number(eirp_dbm, -100.0, 120.0, "EIRP", "dBm")
    return eirp - 10.0 * math.log10(count)


def slots_per_second(spacing_khz: float) -> float:
    """Slots of 14 symbols in a second: TS 38.211 table 4.3.2-1."""
    return 1000.0 * spacing_khz / 15.0


def _no_such_carrier(
    bandwidth_mhz: float, spacing_khz: float, rat: Rat, mhz: float | None
) -> InvalidValue:
    """The refusal of a pair that does not exist, naming the spacings or widths that do."""
    spacings = sorted({key[2] for key in _table() if key[0] is rat and key[1] in _ranges(mhz)})
    if not spacings:
        return InvalidValue(
            f"{rat} has no carriers at {mhz:g} MHz: give one below {FIRST_FR2_MHZ:g} MHz.",
            value=mhz,
            allowed=f"below {FIRST_FR2_MHZ:g} MHz",
        )
    if spacing_khz not in spacings:
        allowed = ", ".join(f"{khz:g}" for khz in spacings) + " kHz"
        place = "" if mhz is None else f" at {mhz:g} MHz"
        return InvalidValue(
            f"{rat} has no subcarrier spacing of {spacing_khz:g} kHz{place}: take {allowed}.",
            value=spacing_khz,
            allowed=allowed,
        )
    widths = bandwidths_mhz(spacing_khz, rat=rat, mhz=mhz)
    allowed = ", ".join(f"{width:g}" for width in widths) + " MHz"
    return InvalidValue(
        f"An {rat} carrier of {bandwidth_mhz:g} MHz does not exist with {spacing_khz:g} kHz "
        f"spacing: take {allowed}.",
        value=bandwidth_mhz,
        allowed=allowed,
    )


def _ranges(mhz: float | None) -> tuple[str, ...]:
    """Which frequency ranges to look in, the likelier first."""
    if mhz is None:
        return ("FR1", "FR2")
    return ("FR2",) if mhz >= FIRST_FR2_MHZ else ("FR1",)


@lru_cache(maxsize=1)
def _table() -> dict[tuple[Rat, str, float, float], int]:
    """Blocks by radio technology, frequency range, spacing in kHz and bandwidth in MHz."""
    return {
        (
            Rat(row["rat"]),
            row["range"],
            float(row["spacing_khz"]),
            float(row["bandwidth_mhz"]),
        ): int(row["resource_blocks"])
        for row in rows("resource_blocks")
    }
