"""Peak data rate of a set of carriers.

NR by 3GPP TS 38.306 V19 clause 4.1.2. The formula knows no time division: a TDD cell cannot
reach it, and `expected_rate` says what it can. LTE has no such formula; its peak is counted
from resource elements (see `lte_rate`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.bands import Direction
from surveyapp.radio.lte_rate import lte_peak_mbps
from surveyapp.radio.modulation import Modulation, table_for
from surveyapp.radio.resource_grid import resource_blocks, slots_per_second

HIGHEST_CODE_RATE = 948 / 1024  # TS 38.306 clause 4.1.2, R_max
SCALING_FACTORS = (1.0, 0.8, 0.75, 0.4)  # TS 38.306 clause 4.1.2, f
# TS 38.306 clause 4.1.2, OH: (frequency range 1, frequency range 2)
_OVERHEAD = {Direction.DOWN: (0.14, 0.18), Direction.UP: (0.08, 0.10)}
_MOST_LAYERS = {
    (Rat.NR, Direction.DOWN): 8,
    (Rat.NR, Direction.UP): 4,
    (Rat.LTE, Direction.DOWN): 8,
    (Rat.LTE, Direction.UP): 4,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class LinkCarrier:
    """One kind of carrier of a link: `count` equal carriers, and the most a phone uses on them.

    `mhz` is only needed for 60 kHz spacing above 24.25 GHz. Construction raises InvalidValue
    or OutOfRange for what cannot be, naming what is allowed.
    """

    bandwidth_mhz: float
    spacing_khz: float = 15.0
    layers: int = 1
    modulation: Modulation = Modulation.QAM64
    count: int = 1
    rat: Rat = Rat.NR
    mhz: float | None = None
    mcs_table: int | None = None

    def __post_init__(self) -> None:
        self.blocks  # noqa: B018  the width, the spacing and their pair are checked there
        table_for(self.modulation, self.mcs_table)
        check_layers(self.layers, self.rat, Direction.DOWN)
        if not 1 <= self.count <= 32:
            raise OutOfRange(
                f"{self.count} carriers are not possible: take 1 to 32.",
                value=self.count,
                allowed="1 to 32",
            )

    @property
    def blocks(self) -> int:
        """Resource blocks of one carrier."""
        return resource_blocks(self.bandwidth_mhz, self.spacing_khz, rat=self.rat, mhz=self.mhz)

    @property
    def millimetre_wave(self) -> bool:
        """Whether the carrier lies in frequency range 2."""
        if self.mhz is not None:
            return self.mhz >= 24_250.0
        return self.spacing_khz > 60.0 or self.bandwidth_mhz > 100.0

    def __str__(self) -> str:
        """The carrier in the notation of `rate_notation`."""
        kind = "lte " if self.rat is Rat.LTE else ""
        spacing = "" if self.rat is Rat.LTE else f"@{self.spacing_khz:g}kHz"
        layers = f"{self.layers}L{self.modulation}"
        table = f"/table{self.mcs_table}" if self.mcs_table else ""
        return f"{kind}{self.count}x{self.bandwidth_mhz:g}{spacing}:{layers}{table}"


def peak_mbps(
    carriers: Sequence[LinkCarrier],
    *,
    direction: Direction = Direction.DOWN,
    scaling: float = 1.0,
) -> float:
    """Peak rate in Mbit/s over all carriers; `scaling` is the factor f of TS 38.306.

    Raises InvalidValue for another factor and OutOfRange for more layers than the direction
    has. Source: TS 38.306 clause 4.1.2 for NR, `lte_rate` for LTE.
    """
    if scaling not in SCALING_FACTORS:
        allowed = ", ".join(f"{factor:g}" for factor in SCALING_FACTORS)
        raise InvalidValue(
            f"TS 38.306 has no scaling factor {scaling:g}: take {allowed}.",
            value=scaling,
            allowed=allowed,
        )
    return sum(carrier_peak_mbps(carrier, direction, scaling) for carrier in carriers)


def carrier_peak_mbps(
    carrier: LinkCarrier, direction: Direction = Direction.DOWN, scaling: float = 1.0
) -> float:
    """Peak rate in Mbit/s of one kind of carrier, all `count` of them together."""
    check_layers(carrier.layers, carrier.rat, direction)
    if carrier.rat is Rat.LTE:
        return carrier.count * lte_peak_mbps(
            blocks=carrier.blocks, layers=carrier.layers, modulation=carrier.modulation
        )
    symbols_per_second = 14.0 * slots_per_second(carrier.spacing_khz)
    overhead = _OVERHEAD[direction][carrier.millimetre_wave]
    bits = carrier.layers * carrier.modulation.bits * scaling * HIGHEST_CODE_RATE
    elements = 12.0 * carrier.blocks * symbols_per_second * (1.0 - overhead)
    return 1e-6 * carrier.count * bits * elements


def check_layers(layers: int, rat: Rat, direction: Direction) -> None:
    """Refuse a number of layers that no link of this kind has."""
    most = _MOST_LAYERS[rat, direction]
    if not 1 <= layers <= most:
        raise OutOfRange(
            f"{layers} layers are not possible on an {rat} {direction}: take 1 to {most}.",
            value=layers,
            allowed=f"1 to {most}",
        )
