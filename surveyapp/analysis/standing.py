"""What serves where the surveyor stands: the bridge from a stop's rows to the serving answer.

The 5G leg and the LTE leg are asked about one by one, since in non-standalone 5G the anchor
mostly comes from another site than the 5G leg.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from surveyapp.analysis.candidates import (
    POSITION_SIGMA_M,
    UNKNOWN_POSITION_SIGMA_M,
    candidates_at,
    frequency_mhz,
    usable,
)
from surveyapp.analysis.phone_offset import PhoneOffset, learn_phone_offsets
from surveyapp.errors import NoAnswer
from surveyapp.geometry.serving import Candidate, Observation, ServingAnswer, serving
from surveyapp.geometry.serving_terms import HIGHEST_PCI
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.model import Carrier, Device, LatLon, Rat, Reading, Role, Stop, StopScene

__all__ = ["LegAnswer", "PhoneOffset", "learn_phone_offsets", "serving_at"]

LEG_NAME = {Rat.NR: "5G leg", Rat.LTE: "LTE leg"}
# sectors the notebook lacks for each listed one around: surveyors list the street's 5G
# nodes, and few of the roofs that LTE comes from (our assumption)
UNLISTED_SHARE = {Rat.NR: 0.1, Rat.LTE: 0.5}


@dataclass(frozen=True, kw_only=True, slots=True)
class LegAnswer:
    """The answer for one leg of one reading; without a reading both ids are None."""

    leg: str
    device_id: str | None
    reading_id: str | None
    answer: ServingAnswer


def serving_at(
    scene: StopScene, offsets: Mapping[str, PhoneOffset] | None = None
) -> tuple[LegAnswer, ...]:
    """One answer for each leg of each reading at the stop, in the readings' order.

    Without a reading there is one answer from position and sightings alone, for the 5G leg
    (for the LTE leg where no sector may hold 5G). `offsets` are the phones' own, as
    `learn_phone_offsets` gives them. Raises NoAnswer for a stop without a position.
    """
    _place(scene.stop)
    devices = {device.id: device for device in scene.devices}
    answers = []
    for reading in scene.readings:
        device = devices.get(reading.device_id)
        offset = (offsets or {}).get(reading.device_id, PhoneOffset())
        for rat in Rat:
            carrier = leg_carrier(reading, rat)
            if carrier is not None:
                answer = _answer(scene, rat, carrier, device, offset)
                answers.append(_leg(rat, reading, answer))
    return tuple(answers) or (_before_any_reading(scene),)


def leg_carrier(reading: Reading, rat: Rat) -> Carrier | None:
    """The carrier that tells a leg: the primary or anchor one of `rat`, else its first."""
    own = [carrier for carrier in reading.carriers if carrier.rat is rat]
    leading = [carrier for carrier in own if carrier.role is not Role.SECONDARY]
    return next(iter(leading or own), None)


def leg_question(
    scene: StopScene, reading: Reading, rat: Rat, offsets: Mapping[str, PhoneOffset] | None = None
) -> tuple[Observation, tuple[Candidate, ...]]:
    """What is asked about one leg of a reading: for whoever needs more than its answer.

    Raises NoAnswer for a stop without a position and for a reading without that leg.
    """
    carrier = leg_carrier(reading, rat)
    if scene.stop.lat_deg is None or scene.stop.lon_deg is None or carrier is None:
        raise NoAnswer(
            f"Stop {scene.stop.number} has no {LEG_NAME[rat]} that could be asked about: "
            "it needs a position and a reading of it."
        )
    offset = (offsets or {}).get(reading.device_id, PhoneOffset())
    operator = {device.id: device.operator for device in scene.devices}.get(reading.device_id, "")
    found = candidates_at(scene, rat, carrier, operator)
    return _observation(scene.stop, rat, carrier, offset), found


def _before_any_reading(scene: StopScene) -> LegAnswer:
    """The answer where no phone was read yet."""
    rat = Rat.NR if candidates_at(scene, Rat.NR, None, "") else Rat.LTE
    if not candidates_at(scene, rat, None, ""):
        rat = Rat.NR
    return _leg(rat, None, _answer(scene, rat, None, None, PhoneOffset()))


def _leg(rat: Rat, reading: Reading | None, answer: ServingAnswer) -> LegAnswer:
    """An answer under the name of its leg."""
    return LegAnswer(
        leg=LEG_NAME[rat],
        device_id=reading.device_id if reading else None,
        reading_id=reading.id if reading else None,
        answer=answer,
    )


def _answer(
    scene: StopScene,
    rat: Rat,
    carrier: Carrier | None,
    device: Device | None,
    offset: PhoneOffset,
) -> ServingAnswer:
    """The serving answer of one leg."""
    found = candidates_at(scene, rat, carrier, device.operator if device else "")
    answer = serving(_observation(scene.stop, rat, carrier, offset), found)
    remarks = _left_out(scene, rat, carrier)
    if not found:
        lacking = f"The notebook lists no sector within reach that may hold an {rat} carrier."
        return replace(answer, reasons=(lacking, *remarks))
    return replace(answer, reasons=(*answer.reasons, *remarks))


def _observation(stop: Stop, rat: Rat, carrier: Carrier | None, offset: PhoneOffset) -> Observation:
    """What was measured, with impossible values left out."""
    assert stop.lat_deg is not None
    assert stop.lon_deg is not None
    return Observation(
        lat_deg=stop.lat_deg,
        lon_deg=stop.lon_deg,
        position_sigma_m=_position_sigma_m(stop),
        mhz=None if carrier is None else frequency_mhz(carrier),
        rsrp_dbm=None if carrier is None else usable(carrier.rsrp_dbm, *RSRP_RANGE_DBM),
        pci=None if carrier is None or not _possible_pci(carrier) else carrier.pci,
        phone_offset_db=offset.offset_db,
        phone_sigma_db=offset.sigma_db,
        unlisted_share=UNLISTED_SHARE[rat],
    )


def _place(stop: Stop) -> LatLon:
    """The stop's position; raises NoAnswer where it has none."""
    if stop.lat_deg is None or stop.lon_deg is None:
        raise NoAnswer(
            f"Stop {stop.number} has no position, so no sector can be named: "
            "set it on the plan or type it."
        )
    return stop.lat_deg, stop.lon_deg


def _position_sigma_m(stop: Stop) -> float:
    """How well the stop's position is known, told or by where it comes from."""
    told = usable(stop.position_sigma_m, 0.0, 1e4)
    if told is not None:
        return told
    if stop.position_from is None:
        return UNKNOWN_POSITION_SIGMA_M
    return POSITION_SIGMA_M[stop.position_from]


def _possible_pci(carrier: Carrier) -> bool:
    """Whether the PCI read is one at all."""
    return carrier.pci is not None and 0 <= carrier.pci <= HIGHEST_PCI[carrier.rat]


def _left_out(scene: StopScene, rat: Rat, carrier: Carrier | None) -> list[str]:
    """What could not be used, in words."""
    told = []
    if carrier is not None:
        rsrp = carrier.rsrp_dbm
        if rsrp is not None and usable(rsrp, *RSRP_RANGE_DBM) is None:
            told.append(f"The RSRP of {rsrp:g} dBm cannot be, so it was left out.")
        if carrier.pci is not None and not _possible_pci(carrier):
            told.append(f"The PCI {carrier.pci} does not exist, so it was left out.")
    lost = [site.name for site in scene.sites if site.lat_deg is None or site.lon_deg is None]
    if lost:
        told.append(f"Left out, as they have no position yet: {', '.join(lost)}.")
    return told
