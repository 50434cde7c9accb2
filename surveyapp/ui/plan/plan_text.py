"""Words on the plan and their style, before they are drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TextStyle:
    """Size in sp and colours by their roles in the theme; a halo keeps words off lines."""

    size_sp: float
    role: str
    halo: str = ""
    bold: bool = False


@dataclass(frozen=True, slots=True)
class PlanText:
    """Words whose middle lies at a place, shifted by pixels, turned counter-clockwise."""

    text: str
    east_m: float
    north_m: float
    style: TextStyle
    shift_px: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
