"""Radio channels as a surveyor writes them: numbers, frequencies and bands, told apart.

The number formulas live in `raster`, the bands in `bands`, the widths in `resource_grid`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from surveyapp.errors import InvalidValue
from surveyapp.model import Rat
from surveyapp.radio.arrays import number as checked
from surveyapp.radio.bands import Band, Direction, Duplex, band, bands_at
from surveyapp.radio.raster import (
    earfcns_at,
    gscn_at,
    gscn_mhz,
    lte_mhz,
    lte_range,
    lte_ranges,
    nr_arfcn,
    nr_mhz,
)
from surveyapp.radio.resource_grid import resource_blocks

__all__ = [
    "BandUse",
    "Channel",
    "band_mhz",
    "carrier_mhz",
    "channel",
    "resource_blocks",
    "usual_channels",
]

EXAMPLES = "nr 2079167, gscn 22300, lte 6300, 26.5 GHz, 3600 MHz, n258 or B20"
_NUMBER = re.compile(r"(nr|nr-?arfcn|lte|earfcn|gscn)\s*[:#]?\s*(\d{1,9})", re.IGNORECASE)
_FREQUENCY = re.compile(r"(-?\d{1,6}(?:\.\d{1,9})?)\s*(mhz|ghz)", re.IGNORECASE)
_BAND = re.compile(r"[nb]\s*\d{1,3}", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True, slots=True)
class BandUse:
    """A band that holds a frequency, in which direction, and the frequency paired with it.

    `direction` is None in time division, where both share it. `partner_mhz` is the uplink
    that goes with a downlink frequency, or the reverse, None where there is none.
    """

    name: str
    rat: Rat
    duplex: Duplex
    direction: Direction | None
    partner_mhz: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Channel:
    """A place on the air: its frequency, every band that holds it, and its numbers.

    `numbers` has for 'nr', 'gscn' and 'lte' the channel numbers nearest to the frequency
    (several for LTE, one in each band); a kind that has none there is left out. `is_band`
    tells that only a band was named: the frequency is then the middle of its downlink.
    """

    text: str
    mhz: float
    uses: tuple[BandUse, ...]
    numbers: dict[str, tuple[int, ...]]
    is_band: bool = False

    @property
    def bands(self) -> tuple[str, ...]:
        """Names of the bands, NR first."""
        return tuple(use.name for use in self.uses)


def channel(text: str) -> Channel:
    """Read a channel number with its kind, a frequency with its unit, or a band's name.

    'nr 2079167', 'gscn 22300', 'lte 6300', '26.5 GHz', '3600 MHz', 'n258', 'B20'. A band
    stands for the middle of its downlink. Raises InvalidValue for what is none of these, and
    OutOfRange for a number outside the raster or a frequency in no band.
    """
    plain_text = " ".join(text.split())
    if numbered := _NUMBER.fullmatch(plain_text):
        kind, value = numbered[1].lower(), int(numbered[2])
        if kind == "gscn":
            mhz = float(gscn_mhz(value))
            return _at(text, mhz, bands_at(mhz, Rat.NR))
        if kind.startswith("nr"):
            mhz = float(nr_mhz(value))
            return _at(text, mhz, bands_at(mhz, Rat.NR))
        return _at(text, float(lte_mhz(value)), (band(lte_range(value).band),))
    if frequency := _FREQUENCY.fullmatch(plain_text):
        scale = 1000.0 if frequency[2].lower() == "ghz" else 1.0
        mhz = checked(float(frequency[1]) * scale, 0.0, 100_000.0, "frequency", "MHz")
        return _at(text, round(mhz, 6), bands_at(mhz))
    if _BAND.fullmatch(plain_text):
        entry = band(plain_text.replace(" ", ""))
        return replace(_at(text, band_mhz(entry.name), (entry,)), is_band=True)
    raise InvalidValue(
        f"'{text}' is no channel: write it like {EXAMPLES}.", value=text, allowed=EXAMPLES
    )


def band_mhz(name: str) -> float:
    """The middle of a band's downlink in MHz, on the channel raster nearest to it.

    For a band typed alone; a band with no downlink gives the middle of its uplink.
    """
    entry = band(name)
    low, high = entry.main_mhz
    return _snapped_mhz((low + high) / 2.0, entry.rat)


def usual_channels(name: str, bandwidth_mhz: float = 0.0) -> tuple[tuple[int, float], ...]:
    """Channel numbers to offer for a band typed with no number, each with its MHz.

    The lowest, the middle and the highest place a carrier of this bandwidth can have in the
    band. Which ones an operator holds is nobody's standard: these are starting points.
    """
    entry = band(name)
    low, high = entry.main_mhz
    half = checked(bandwidth_mhz, 0.0, entry.width_mhz, "bandwidth", "MHz") / 2.0
    places = [_snapped_mhz(mhz, entry.rat) for mhz in (low + half, (low + high) / 2, high - half)]
    return tuple((_own_number(entry, mhz), mhz) for mhz in dict.fromkeys(places))


def carrier_mhz(rat: Rat, number: int | None, mhz: float | None) -> float | None:
    """The frequency of a recorded carrier: as noted, else from its number, else None."""
    if mhz is not None or number is None:
        return mhz
    return float(nr_mhz(number)) if rat is Rat.NR else float(lte_mhz(number))


def _own_number(entry: Band, mhz: float) -> int:
    """The number of a frequency within one band."""
    if entry.rat is Rat.NR:
        return int(nr_arfcn(mhz))
    numbers = [n for place, n in earfcns_at(mhz) if place.band == entry.name]
    # The upper edge itself has no number: the last one lies 100 kHz below.
    return numbers[0] if numbers else _last_lte(entry.name)


def _last_lte(name: str) -> int:
    """The last downlink number of an LTE band."""
    return next(place.last for place in lte_ranges() if place.band == name)


def _snapped_mhz(mhz: float, rat: Rat) -> float:
    """The frequency moved to the nearest channel number's."""
    if rat is Rat.NR:
        return float(nr_mhz(int(nr_arfcn(mhz))))
    return round(mhz, 1)


def _at(text: str, mhz: float, entries: tuple[Band, ...]) -> Channel:
    """The channel at a frequency in these bands."""
    return Channel(
        text=text,
        mhz=mhz,
        uses=tuple(_use(entry, mhz) for entry in entries),
        numbers=_numbers(mhz, entries),
    )


def _use(entry: Band, mhz: float) -> BandUse:
    """How a band uses a frequency."""
    ways = entry.directions_at(mhz)
    shared = entry.duplex is Duplex.TDD
    return BandUse(
        name=entry.name,
        rat=entry.rat,
        duplex=entry.duplex,
        direction=None if shared or not ways else ways[0],
        partner_mhz=None if shared else entry.partner_mhz(mhz),
    )


def _numbers(mhz: float, entries: tuple[Band, ...]) -> dict[str, tuple[int, ...]]:
    """The numbers of a frequency, for the kinds whose bands hold it."""
    numbers: dict[str, tuple[int, ...]] = {}
    names = {entry.name for entry in entries}
    if any(entry.rat is Rat.NR for entry in entries):
        numbers["nr"] = (int(nr_arfcn(mhz)),)
        numbers["gscn"] = (int(gscn_at(mhz)),)
    lte = tuple(n for place, n in earfcns_at(mhz) if place.band in names)
    return numbers | ({"lte": lte} if lte else {})
