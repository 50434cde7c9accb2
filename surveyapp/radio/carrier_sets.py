"""Sets of carriers: their sum, and a plain name a surveyor would say."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from surveyapp.errors import InvalidValue
from surveyapp.model import Carrier, Rat, Role, SectorCarrier
from surveyapp.radio.bands import band
from surveyapp.radio.channels import carrier_mhz

AnyCarrier: TypeAlias = Carrier | SectorCarrier


def total_bandwidth_mhz(carriers: Sequence[AnyCarrier], rat: Rat | None = None) -> float:
    """Bandwidth in MHz of all carriers together, or of those of one radio technology.

    A carrier whose bandwidth is not recorded counts nothing. Raises InvalidValue for a
    negative bandwidth or a count below one.
    """
    return sum(_width(carrier) for carrier in carriers if rat is None or carrier.rat is rat)


def band_excess_mhz(carriers: Sequence[AnyCarrier]) -> dict[str, float]:
    """Bands that could not hold their carriers side by side, with the MHz beyond their width."""
    sums: dict[str, float] = {}
    for carrier in carriers:
        if carrier.band:
            name = band(carrier.band).name
            sums[name] = sums.get(name, 0.0) + _width(carrier)
    excess = {name: total - band(name).width_mhz for name, total in sums.items()}
    return {name: beyond for name, beyond in excess.items() if beyond > 0.0}


def carrier_set_name(carriers: Sequence[AnyCarrier]) -> str:
    """The set in words: '4 x 100 MHz at 26.5 GHz, with 10 MHz LTE anchor'.

    Carriers of role anchor, and LTE carriers beside NR ones, follow after 'with'.
    """
    if not carriers:
        return "no carriers"
    mixed = len({carrier.rat for carrier in carriers}) > 1
    anchors = [c for c in carriers if _is_anchor(c, mixed)]
    main = [c for c in carriers if c not in anchors]
    name = " and ".join(_with_place(carrier) for carrier in main)
    if not anchors:
        return name
    tail = " and ".join(_anchor_words(carrier) for carrier in anchors)
    return f"{name}, with {tail}" if name else tail


def _is_anchor(carrier: AnyCarrier, mixed: bool) -> bool:
    """Whether a carrier only anchors the others."""
    if isinstance(carrier, Carrier) and carrier.role is Role.ANCHOR:
        return True
    return mixed and carrier.rat is Rat.LTE


def _anchor_words(carrier: AnyCarrier) -> str:
    """'10 MHz LTE anchor', with its band where it is known."""
    words = f"{_size(carrier)} {carrier.rat} anchor".strip()
    return f"{words} ({carrier.band})" if carrier.band and not carrier.bandwidth_mhz else words


def _with_place(carrier: AnyCarrier) -> str:
    """'4 x 100 MHz at 26.5 GHz': how many, how wide, where."""
    size = _size(carrier) or f"{carrier.rat} carrier"
    size = f"{size} LTE" if carrier.rat is Rat.LTE and carrier.bandwidth_mhz else size
    mhz = carrier_mhz(carrier.rat, carrier.channel, carrier.mhz)
    if mhz is not None:
        return f"{size} at {frequency_words(mhz)}"
    return f"{size} in {carrier.band}" if carrier.band else size


def _size(carrier: AnyCarrier) -> str:
    """'4 x 100 MHz', '20 MHz', or nothing where the bandwidth is not recorded."""
    if carrier.bandwidth_mhz is None:
        return f"{carrier.count} x" if carrier.count > 1 else ""
    _width(carrier)
    times = f"{carrier.count} x " if carrier.count > 1 else ""
    return f"{times}{carrier.bandwidth_mhz:g} MHz"


def _width(carrier: AnyCarrier) -> float:
    """Count times bandwidth, refused where either makes no sense."""
    if carrier.count < 1:
        raise InvalidValue(
            f"A count of {carrier.count} carriers makes no sense: give 1 or more.",
            value=carrier.count,
            allowed="1 or more",
        )
    width = carrier.bandwidth_mhz or 0.0
    if not 0.0 <= width <= 2000.0:
        raise InvalidValue(
            f"A bandwidth of {width:g} MHz makes no sense: give more than 0, up to 2000 MHz.",
            value=width,
            allowed="more than 0, up to 2000 MHz",
        )
    return carrier.count * width


def frequency_words(mhz: float) -> str:
    """'26.5 GHz' from 10 GHz on and '3.6 GHz' for round ones, else '806 MHz'."""
    ghz = mhz / 1000.0
    if ghz >= 10.0:
        return f"{ghz:.4g} GHz"
    if ghz >= 1.0 and abs(ghz * 10.0 - round(ghz * 10.0)) < 0.011:
        return f"{ghz:.1f} GHz"
    return f"{mhz:.6g} MHz"
