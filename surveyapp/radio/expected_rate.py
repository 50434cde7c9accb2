"""What a set of carriers should carry at a measured SINR, and what that is made of.

Each step is a factor a surveyor can read: layers, modulation and code rate that the SINR
allows (`link_adaptation`), the transport block of one slot (TS 38.214 clause 5.1.3.2), the
share of slots that time division gives the direction, retransmissions and protocol headers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from surveyapp.errors import InvalidValue
from surveyapp.model import Rat
from surveyapp.radio.arrays import number
from surveyapp.radio.bands import Direction
from surveyapp.radio.link_adaptation import (
    ALPHA_HIGH,
    ALPHA_LIKELY,
    ALPHA_LOW,
    LinkChoice,
    link_choice,
)
from surveyapp.radio.lte_rate import SPREAD, lte_mbps
from surveyapp.radio.rates import LinkCarrier, carrier_peak_mbps, check_layers
from surveyapp.radio.resource_grid import slots_per_second
from surveyapp.radio.tdd import TddPattern
from surveyapp.radio.transport_block import transport_block_bits

T = TypeVar("T")

CONTROL_SYMBOLS = 2  # of 14 in a slot; common practice
REFERENCE_ELEMENTS = 12  # demodulation reference in a block and slot: one type-1 symbol pair
FIRST_TIME_SHARE = 0.9  # TS 38.214 clause 5.2.2.1: a CQI aims at one block in ten repeated
PAYLOAD_SHARE = 0.95  # what headers of TCP/IP and the radio protocols leave; common practice


@dataclass(frozen=True, kw_only=True, slots=True)
class RatePart:
    """One kind of carrier in an expected rate, all `count` together, in Mbit/s.

    `choice` is the likely one; `share` is the part of the time given to the direction.
    """

    carrier: LinkCarrier
    sinr_db: float
    choice: LinkChoice
    share: float
    low_mbps: float
    likely_mbps: float
    high_mbps: float
    peak_mbps: float

    @property
    def words(self) -> str:
        """One line: what is used, and what it gives."""
        if self.choice.row is None:
            return f"{self.carrier}: {self.used}"
        return f"{self.carrier}: {self.used}, {self.likely_mbps:.0f} Mbit/s"

    @property
    def used(self) -> str:
        """Layers, modulation and code rate at the SINR read, and the share of time."""
        row = self.choice.row
        if row is None:
            return f"nothing gets through at {self.sinr_db:g} dB"
        time = f", {self.share:.0%} of the time" if self.share < 1.0 else ""
        rate = f"{row.modulation} at code rate {row.rate_x1024 / 1024:.2f}"
        layers = f"{self.choice.layers} layer{'s' if self.choice.layers > 1 else ''}"
        return f"{layers} of {rate}{time}"


@dataclass(frozen=True, kw_only=True, slots=True)
class ExpectedRate:
    """What the carriers should carry, in Mbit/s, with a range and its make-up."""

    low_mbps: float
    likely_mbps: float
    high_mbps: float
    peak_mbps: float
    parts: tuple[RatePart, ...]
    notes: tuple[str, ...]

    def share(self, measured_mbps: float) -> float:
        """A measured rate as a share of the likely one; 0 where nothing was expected."""
        return measured_mbps / self.likely_mbps if self.likely_mbps else 0.0


def expected_rate(
    carriers: Sequence[LinkCarrier],
    sinr_db: float | Sequence[float],
    *,
    tdd: TddPattern | Sequence[TddPattern | None] | None = None,
    direction: Direction = Direction.DOWN,
    cell_share: float = 1.0,
) -> ExpectedRate:
    """Expected rate of the carriers at a measured SINR in dB (one for all, or one each).

    `tdd` is the pattern of all NR carriers, or one each (None for frequency division, which a
    single pattern leaves LTE carriers in). `cell_share` is the part of the resources this
    phone gets, above 0 and up to 1 (1: alone in the cell). The SINR a phone shows is that of
    the downlink; for the uplink give the site's. Raises OutOfRange for a SINR no phone
    reports (-23 to 40 dB) and InvalidValue where the number of SINRs or patterns does not fit.
    """
    sinrs = _one_each([sinr_db] if isinstance(sinr_db, int | float) else sinr_db, carriers, "SINR")
    if tdd is None or isinstance(tdd, TddPattern):
        patterns = [None if carrier.rat is Rat.LTE else tdd for carrier in carriers]
    else:
        patterns = _one_each(tdd, carriers, "pattern")
    free = number(cell_share, 0.001, 1.0, "share of the cell", "")
    parts = tuple(
        _part(carrier, sinr, pattern.share(direction) if pattern else 1.0, free, direction)
        for carrier, sinr, pattern in zip(carriers, sinrs, patterns, strict=True)
    )
    return ExpectedRate(
        low_mbps=sum(part.low_mbps for part in parts),
        likely_mbps=sum(part.likely_mbps for part in parts),
        high_mbps=sum(part.high_mbps for part in parts),
        peak_mbps=sum(part.peak_mbps for part in parts),
        parts=parts,
        notes=_notes(parts, patterns, free),
    )


def _part(
    carrier: LinkCarrier, sinr_db: float, share: float, free: float, direction: Direction
) -> RatePart:
    """Low, likely and high rate of one kind of carrier."""
    check_layers(carrier.layers, carrier.rat, direction)
    low, likely, high = (
        link_choice(
            sinr_db, carrier.modulation, carrier.layers, alpha=alpha, table=carrier.mcs_table
        )
        for alpha in (ALPHA_LOW, ALPHA_LIKELY, ALPHA_HIGH)
    )
    scale = carrier.count * share * free * PAYLOAD_SHARE
    lte = carrier.rat is Rat.LTE
    return RatePart(
        carrier=carrier,
        sinr_db=sinr_db,
        choice=likely,
        share=share,
        low_mbps=scale * FIRST_TIME_SHARE * _carrier_mbps(carrier, low, 3) * (1 - SPREAD * lte),
        likely_mbps=scale * FIRST_TIME_SHARE * _carrier_mbps(carrier, likely, 2),
        high_mbps=scale * _carrier_mbps(carrier, high, 1),
        peak_mbps=carrier_peak_mbps(carrier, direction),
    )


def _carrier_mbps(carrier: LinkCarrier, choice: LinkChoice, lte_control_symbols: int) -> float:
    """Mbit/s of one carrier with every slot in use."""
    if choice.row is None:
        return 0.0
    if carrier.rat is Rat.LTE:
        return lte_mbps(
            blocks=carrier.blocks,
            layers=choice.layers,
            modulation=choice.row.modulation,
            efficiency=choice.row.efficiency,
            control_symbols=lte_control_symbols,
        )
    bits = transport_block_bits(
        symbols=14 - CONTROL_SYMBOLS,
        dmrs_elements=REFERENCE_ELEMENTS,
        overhead_elements=6 if carrier.millimetre_wave else 0,
        modulation=choice.row.modulation,
        rate_x1024=choice.row.rate_x1024,
        layers=choice.layers,
        blocks=carrier.blocks,
    )
    return 1e-6 * bits * slots_per_second(carrier.spacing_khz)


def _one_each(given: Sequence[T], carriers: Sequence[LinkCarrier], name: str) -> list[T]:
    """One value for each carrier, from as many or from a single one for all."""
    if len(given) == 1:
        return list(given) * len(carriers)
    if len(given) != len(carriers):
        raise InvalidValue(
            f"{len(given)} {name} values do not fit {len(carriers)} kinds of carriers: give one "
            "for all, or one each.",
            value=given,
            allowed=f"1 or {len(carriers)}",
        )
    return list(given)


def _notes(
    parts: Sequence[RatePart], patterns: Sequence[TddPattern | None], free: float
) -> tuple[str, ...]:
    """The assumptions, in the order a surveyor would ask for them."""
    notes = [
        "No standard ties SINR to a rate: the attenuated Shannon bound of 3GPP studies is used, "
        f"alpha {ALPHA_LOW:g} to {ALPHA_HIGH:g}, likely {ALPHA_LIKELY:g}.",
        f"One block in ten repeated; headers take {1 - PAYLOAD_SHARE:.0%} (common practice).",
        "Alone in the cell." if free == 1.0 else f"{free:.0%} of the cell's resources.",
    ]
    for pattern in dict.fromkeys(patterns):
        if pattern is not None:
            notes.append(f"Slots {pattern}{f': {pattern.note}' if pattern.note else ''}.")
    if any(part.carrier.rat is Rat.LTE for part in parts):
        notes.append(
            f"LTE is counted from resource elements: up to {SPREAD:.0%} above its block sizes."
        )
    return tuple(notes)
