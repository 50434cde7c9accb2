"""Carriers: those a sector radiates, and those a phone reports."""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.model.kinds import Rat, Role


@dataclass(frozen=True, kw_only=True, slots=True)
class SectorCarrier:
    """One kind of carrier on a sector; `count` carriers of equal width side by side.

    `pci` is that of this cell where it differs from the sector's own.
    """

    rat: Rat = Rat.NR
    band: str = ""
    channel: int | None = None
    mhz: float | None = None
    bandwidth_mhz: float | None = None
    count: int = 1
    pci: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Carrier:
    """One kind of carrier a phone reports; `count` carriers of equal width side by side."""

    role: Role = Role.PRIMARY
    rat: Rat = Rat.NR
    band: str = ""
    channel: int | None = None
    mhz: float | None = None
    bandwidth_mhz: float | None = None
    count: int = 1
    pci: int | None = None
    rsrp_dbm: float | None = None
    rsrq_db: float | None = None
    sinr_db: float | None = None
