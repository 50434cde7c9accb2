"""The values Android gives of a cell, their documented ranges, and what stands for 'unknown'."""

from __future__ import annotations

from enum import Enum
from typing import Any, ClassVar

UNAVAILABLE = 2_147_483_647  # CellInfo.UNAVAILABLE, Integer.MAX_VALUE


class Value(Enum):
    """A value of a cell, named as a surveyor says it."""

    CHANNEL = "channel"
    PCI = "PCI"
    WIDTH = "width"
    RSRP = "RSRP"
    RSRQ = "RSRQ"
    SINR = "SINR"


class Ranges:
    """What Android documents, lowest and highest, in its own units (dBm, dB, kHz).

    CellSignalStrengthNr, CellIdentityNr, CellSignalStrengthLte, CellIdentityLte; the ranges of
    LTE's RSRQ, width, PCI and EARFCN from memory.
    """

    NR: ClassVar[dict[Value, tuple[float, float]]] = {
        Value.CHANNEL: (0, 3_279_165),
        Value.PCI: (0, 1007),
        Value.RSRP: (-156, -31),
        Value.RSRQ: (-43, 20),
        Value.SINR: (-23, 40),
    }
    LTE: ClassVar[dict[Value, tuple[float, float]]] = {
        Value.CHANNEL: (0, 262_143),
        Value.PCI: (0, 503),
        Value.WIDTH: (1_400, 20_000),
        Value.RSRP: (-140, -43),
        Value.RSRQ: (-34, 3),
        Value.SINR: (-20, 30),
    }


def taken(
    source: Any, method: str, allowed: tuple[float, float], name: str, left_out: list[str]
) -> float | None:
    """A value of the system; None where it is unavailable, cannot be, or is not offered.

    One that cannot be is named in `left_out`.
    """
    try:
        value = float(getattr(source, method)())
    except Exception:
        return None  # a method this Android does not have
    if abs(value) >= UNAVAILABLE:
        return None
    low, high = allowed
    if not low <= value <= high:
        left_out.append(f"{name} {value:.10g} cannot be: {low:.10g} to {high:.10g}")
        return None
    return value
