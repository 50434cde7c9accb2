"""What a phone mostly uses on a carrier that was only noted by band and bandwidth.

Layers, modulation, spacing and slot pattern do not show on most phones. The ones taken here
are common practice, and each is told, so that a surveyor who knows better can say so.
"""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.errors import NoAnswer
from surveyapp.model import Carrier, Rat, SectorCarrier
from surveyapp.radio.bands import Duplex, band, bands_at
from surveyapp.radio.channels import band_mhz, carrier_mhz
from surveyapp.radio.modulation import Modulation
from surveyapp.radio.rates import LinkCarrier
from surveyapp.radio.resource_grid import FIRST_FR2_MHZ, usual_spacing_khz
from surveyapp.radio.tdd import TddPattern, usual_pattern

LOW_BAND_MHZ = 1000.0  # below, antennas for four layers do not fit a phone; common practice


@dataclass(frozen=True, kw_only=True, slots=True)
class UsualLink:
    """A carrier as a link, its slot pattern (None in frequency division), what was assumed."""

    carrier: LinkCarrier
    tdd: TddPattern | None
    assumed: tuple[str, ...]


def usual_link(carrier: Carrier | SectorCarrier) -> UsualLink:
    """The link a noted carrier mostly is.

    Raises NoAnswer where its bandwidth, or its place (frequency, channel number or band), was
    not noted, and InvalidValue where what was noted cannot be.
    """
    mhz = carrier_mhz(carrier.rat, carrier.channel, carrier.mhz)
    if mhz is None and carrier.band:
        mhz = band_mhz(carrier.band)
    if mhz is None or carrier.bandwidth_mhz is None:
        missing = "bandwidth" if mhz is not None else "band or channel"
        raise NoAnswer(
            f"The {missing} of the {carrier.rat} carrier is not noted: add it to see what it "
            "could carry."
        )
    shared = _is_time_division(carrier, mhz)
    layers, modulation = _layers(carrier.rat, mhz)
    link = LinkCarrier(
        rat=carrier.rat,
        count=carrier.count,
        bandwidth_mhz=carrier.bandwidth_mhz,
        spacing_khz=usual_spacing_khz(mhz, rat=carrier.rat, time_division=shared),
        layers=layers,
        modulation=modulation,
        mhz=mhz,
    )
    pattern = usual_pattern(mhz, carrier.rat) if shared else None
    return UsualLink(carrier=link, tdd=pattern, assumed=_assumed(link))


def _layers(rat: Rat, mhz: float) -> tuple[int, Modulation]:
    """Layers and highest modulation mostly met; common practice."""
    if rat is Rat.LTE or mhz >= FIRST_FR2_MHZ:
        return 2, Modulation.QAM64
    return (2 if mhz < LOW_BAND_MHZ else 4), Modulation.QAM256


def _is_time_division(carrier: Carrier | SectorCarrier, mhz: float) -> bool:
    """By the noted band, else by the bands at the frequency: shared where no pair holds it."""
    if carrier.band:
        return band(carrier.band).duplex is Duplex.TDD
    kinds = {entry.duplex for entry in bands_at(mhz, carrier.rat)}
    return Duplex.TDD in kinds and Duplex.FDD not in kinds


def _assumed(link: LinkCarrier) -> tuple[str, ...]:
    """What was taken without having been noted; the slots say so themselves, see `tdd`."""
    told = [f"{link.layers} layers, up to {link.modulation} (common practice)"]
    if link.rat is Rat.NR:
        told.append(f"{link.spacing_khz:g} kHz spacing (common practice)")
    return tuple(told)
