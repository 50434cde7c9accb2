"""Operating bands: 3GPP TS 38.104 V19.4.0 tables 5.2-1/-2, TS 36.104 V19.2.0 table 5.5-1.

The tables are those carried by the nrarfcn package (release 19).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.model import Rat

RELEASE = 19
MegahertzRange = tuple[float, float]


class Duplex(StrEnum):
    """How a band carries its two directions."""

    FDD = "FDD"
    TDD = "TDD"
    DOWNLINK_ONLY = "downlink only"
    UPLINK_ONLY = "uplink only"


class Direction(StrEnum):
    """From the site to the phone, or back."""

    DOWN = "downlink"
    UP = "uplink"


@dataclass(frozen=True, kw_only=True, slots=True)
class Band:
    """One operating band; a direction it does not carry is None."""

    name: str
    rat: Rat
    duplex: Duplex
    downlink_mhz: MegahertzRange | None
    uplink_mhz: MegahertzRange | None

    @property
    def main_mhz(self) -> MegahertzRange:
        """The downlink, or the uplink where the band carries nothing else."""
        chosen = self.downlink_mhz or self.uplink_mhz
        assert chosen is not None
        return chosen

    @property
    def width_mhz(self) -> float:
        """All the spectrum there is in the band, one direction."""
        low, high = self.main_mhz
        return high - low

    def directions_at(self, mhz: float) -> tuple[Direction, ...]:
        """The directions in which the band holds this frequency, edges included."""
        ranges = ((Direction.DOWN, self.downlink_mhz), (Direction.UP, self.uplink_mhz))
        return tuple(way for way, span in ranges if span and span[0] <= mhz <= span[1])

    def partner_mhz(self, mhz: float) -> float | None:
        """The frequency paired with this one: uplink to a downlink, downlink to an uplink.

        By the band's default spacing, the difference of its lower edges. None where there is
        no such partner: one direction only, time division, a spacing that varies (uplink and
        downlink from different parts of the spectrum), or a downlink beyond a narrower uplink.
        Source: TS 38.101-1 clause 5.4.4, TS 36.101 clause 5.7.4.
        """
        if self.duplex is not Duplex.FDD or self.name in _VARIABLE_SPACING:
            return None
        assert self.downlink_mhz is not None
        assert self.uplink_mhz is not None
        spacing_mhz = self.downlink_mhz[0] - self.uplink_mhz[0]
        ways = self.directions_at(mhz)
        if Direction.DOWN in ways:
            partner, other = round(mhz - spacing_mhz, 4), Direction.UP
        else:
            partner, other = round(mhz + spacing_mhz, 4), Direction.DOWN
        return partner if ways and other in self.directions_at(partner) else None


# TS 38.101-1 clause 5.4.4: uplink and downlink of these are not tied to each other
_VARIABLE_SPACING = frozenset({"n91", "n92", "n93", "n94", "n109"})


@lru_cache(maxsize=1)
def all_bands() -> dict[str, Band]:
    """Every NR and LTE band by its name ('n78', 'B20'), NR first, in the tables' order."""
    from nrarfcn.tables import get_table

    kinds = (("bands_fr1", Rat.NR), ("bands_fr2", Rat.NR), ("lte_bands", Rat.LTE))
    found = (_band(row, rat) for table, rat in kinds for row in get_table(table, RELEASE).data)
    return {entry.name: entry for entry in found}


def band(name: str) -> Band:
    """The band of this name, written 'n258', 'B20', 'b20' or 'N258'.

    Raises InvalidValue for a name that is none, with the bands there are.
    """
    text = name.strip()
    known = all_bands()
    for spelled in (text.lower(), text.upper()):
        if spelled in known:
            return known[spelled]
    nr = [key for key, entry in known.items() if entry.rat is Rat.NR]
    lte = [key for key, entry in known.items() if entry.rat is Rat.LTE]
    raise InvalidValue(
        f"There is no band '{text}': NR bands run from {nr[0]} to {nr[-1]}, "
        f"LTE bands from {lte[0]} to {lte[-1]}, not all numbers are used.",
        value=name,
        allowed=", ".join(known),
    )


def bands_at(mhz: float, rat: Rat | None = None) -> tuple[Band, ...]:
    """Every band that holds this frequency in either direction: it rarely is only one.

    Raises OutOfRange where no band (of this `rat`, if given) holds it, with the nearest one.
    """
    entries = [entry for entry in all_bands().values() if rat is None or entry.rat is rat]
    holding = tuple(entry for entry in entries if entry.directions_at(mhz))
    if holding:
        return holding
    nearest = min(entries, key=lambda entry: _distance_mhz(entry, mhz))
    low, high = nearest.main_mhz
    allowed = f"{nearest.name}, {low:g} to {high:g} MHz"
    kind = f"{rat} " if rat else ""
    raise OutOfRange(
        f"No {kind}band holds {mhz:g} MHz: check the figure; the nearest is {allowed}.",
        value=mhz,
        allowed=allowed,
    )


def _distance_mhz(entry: Band, mhz: float) -> float:
    """How far a frequency lies outside the band's nearer direction."""
    spans = [span for span in (entry.downlink_mhz, entry.uplink_mhz) if span]
    return min(max(low - mhz, mhz - high, 0.0) for low, high in spans)


def _band(row: list[object], rat: Rat) -> Band:
    """A band from a row: name, uplink low and high, downlink low and high, duplex."""
    name, up_low, up_high, down_low, down_high, _ = row
    uplink, downlink = _span(up_low, up_high), _span(down_low, down_high)
    if uplink is None:
        duplex = Duplex.DOWNLINK_ONLY
    elif downlink is None:
        duplex = Duplex.UPLINK_ONLY
    else:
        duplex = Duplex.TDD if uplink == downlink else Duplex.FDD
    return Band(name=str(name), rat=rat, duplex=duplex, downlink_mhz=downlink, uplink_mhz=uplink)


def _span(low: object, high: object) -> MegahertzRange | None:
    """A range of megahertz, or None where the table says 'N/A'."""
    if isinstance(low, int | float) and isinstance(high, int | float):
        return float(low), float(high)
    return None
