"""Where a phone points, from gravity and the magnetic field along its axes.

Up is against gravity; east is field cross up; north is up cross east. The strength and the dip
of the field are held against the World Magnetic Model: steel nearby changes them long before a
surveyor would notice the heading.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from statistics import fmean

from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG
from surveyapp.geometry.geodesy import angle_between_deg, normalise_azimuth_deg
from surveyapp.geometry.headings import Declination, mean_direction
from surveyapp.geometry.standing_mean import is_frozen
from surveyapp.model import HeadingSample, TiltSample, Vector

STANDARD_GRAVITY_M_S2 = 9.80665  # CGPM 1901, resolution 2
GRAVITY_OFF = 0.15  # a hand at rest pushes by far less than this share more or less
FIELD_NT = (15_000.0, 80_000.0)  # Earth's field is 22 to 67 uT everywhere (WMM2025 report)
STRENGTH_OFF = 0.15  # our choice: a phone's own calibration is good to some per cent
DIP_OFF_DEG = 10.0  # our choice, likewise
UPRIGHT_WITHIN_DEG = 80.0  # an axis steeper than this has no heading to speak of
RESTLESS_DEG = 8.0


class Axis(Enum):
    """What is pointed: the top edge of a phone held flat, or the camera of one held up."""

    TOP_EDGE = (0.0, 1.0, 0.0)
    CAMERA = (0.0, 0.0, -1.0)


@dataclass(frozen=True, slots=True)
class Pointing:
    """One moment: azimuth from magnetic north, elevation above the horizon, the field."""

    magnetic_deg: float
    elevation_deg: float
    total_nt: float
    dip_deg: float


@dataclass(frozen=True, kw_only=True, slots=True)
class SteadyHeading:
    """The mean heading. `spread_deg` is how far it wavered, `sigma_deg` what it is good to.

    `field_share` is the field's strength over the model's. `doubts` are sentences.
    """

    magnetic_deg: float
    elevation_deg: float
    spread_deg: float
    sigma_deg: float
    field_share: float
    used: int
    refused: int
    doubts: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SteadyTilt:
    """The mean elevation of what is pointed, and how far it wavered, in degrees."""

    elevation_deg: float
    spread_deg: float
    used: int
    refused: int
    doubts: tuple[str, ...]


def pointing(sample: HeadingSample, axis: Axis) -> Pointing:
    """Where the axis points at one moment.

    Raises NoAnswer for what is no number, a phone in motion, a field no place on Earth has,
    and an axis too steep to have a heading.
    """
    up = _up(sample.gravity_m_s2)
    elevation_deg = _elevation(up, axis)
    total_nt = 1000.0 * _length(sample.field_ut)
    if not math.isfinite(total_nt):
        raise NoAnswer("The compass gives no numbers: type the bearing, or take it by two points.")
    if not FIELD_NT[0] <= total_nt <= FIELD_NT[1]:
        raise NoAnswer(
            f"The magnetic field reads {total_nt / 1000:.0f} microtesla, which Earth's is nowhere: "
            "step away from steel and magnets, or take the bearing by two points."
        )
    if abs(elevation_deg) > UPRIGHT_WITHIN_DEG:
        raise NoAnswer("The phone points too steeply to have a heading: hold it level.")
    east = _cross(sample.field_ut, up)
    share = _length(east) / _length(sample.field_ut)
    if share < 1e-3:
        raise NoAnswer("The magnetic field stands upright here: take the bearing by two points.")
    east = _scaled(east, 1.0 / _length(east))
    north = _cross(up, east)
    azimuth = math.atan2(_dot(axis.value, east), _dot(axis.value, north))
    dip = math.asin(_clamped(-_dot(sample.field_ut, up) / _length(sample.field_ut)))
    return Pointing(
        normalise_azimuth_deg(math.degrees(azimuth)), elevation_deg, total_nt, math.degrees(dip)
    )


def steady_heading(
    samples: Sequence[HeadingSample], axis: Axis, model: Declination
) -> SteadyHeading:
    """The mean heading of some seconds, judged against the magnetic model of the place.

    Raises NoAnswer where no sample can be used; the message is that of the last.
    """
    taken: list[Pointing] = []
    last = "The compass has said nothing yet: wait a second, or type the bearing."
    for sample in samples:
        try:
            taken.append(pointing(sample, axis))
        except NoAnswer as error:
            last = str(error)
    if not taken:
        raise NoAnswer(last)
    mean_deg = mean_direction([one.magnetic_deg for one in taken]).azimuth_deg
    spread_deg = _rms([angle_between_deg(mean_deg, one.magnetic_deg) for one in taken])
    share = fmean(one.total_nt for one in taken) / model.total_nt
    dip_off_deg = fmean(one.dip_deg for one in taken) - model.inclination_deg
    frozen = is_frozen([s.field_ut for s in samples], [s.time_utc for s in samples])
    doubts = [*_field_doubts(share, dip_off_deg), *_motion_doubts(spread_deg, frozen)]
    if model.warning:
        doubts.append(model.warning)
    return SteadyHeading(
        magnetic_deg=mean_deg,
        elevation_deg=fmean(one.elevation_deg for one in taken),
        spread_deg=spread_deg,
        sigma_deg=math.hypot(COMPASS_SIGMA_DEG, spread_deg),
        field_share=share,
        used=len(taken),
        refused=len(samples) - len(taken),
        doubts=tuple(doubts),
    )


def steady_tilt(samples: Sequence[TiltSample], axis: Axis) -> SteadyTilt:
    """The mean elevation of some seconds; raises NoAnswer where no sample can be used."""
    taken: list[float] = []
    last = "The tilt sensor has said nothing yet: wait a second, or type the elevation."
    for sample in samples:
        try:
            taken.append(_elevation(_up(sample.gravity_m_s2), axis))
        except NoAnswer as error:
            last = str(error)
    if not taken:
        raise NoAnswer(last)
    mean_deg = fmean(taken)
    spread_deg = _rms([one - mean_deg for one in taken])
    frozen = is_frozen([s.gravity_m_s2 for s in samples], [s.time_utc for s in samples])
    return SteadyTilt(
        elevation_deg=mean_deg,
        spread_deg=spread_deg,
        used=len(taken),
        refused=len(samples) - len(taken),
        doubts=tuple(_motion_doubts(spread_deg, frozen)),
    )


def _field_doubts(share: float, dip_off_deg: float) -> list[str]:
    if abs(share - 1.0) > STRENGTH_OFF:
        return [
            f"The magnetic field here is {share:.0%} of what it should be: steel or a magnet is "
            "near. Step away, or take the bearing by two points."
        ]
    if abs(dip_off_deg) > DIP_OFF_DEG:
        return [
            f"The magnetic field dips {abs(dip_off_deg):.0f} degrees "
            f"{'more' if dip_off_deg > 0 else 'less'} than it should: steel is near, or the "
            "compass wants to be swung in a figure of eight."
        ]
    return []


def _motion_doubts(spread_deg: float, frozen: bool) -> list[str]:
    doubts = []
    if frozen:
        doubts.append("The sensor repeats the very same values: it may be stuck.")
    if spread_deg > RESTLESS_DEG:
        doubts.append(f"It wavers by {spread_deg:.0f} degrees: hold still, or lean on something.")
    return doubts


def _up(gravity_m_s2: Vector) -> Vector:
    length = _length(gravity_m_s2)
    if not math.isfinite(length) or length == 0.0:
        raise NoAnswer("The tilt sensor gives no numbers: type the bearing and the elevation.")
    if abs(length / STANDARD_GRAVITY_M_S2 - 1.0) > GRAVITY_OFF:
        raise NoAnswer("The phone is in motion: hold it still.")
    return _scaled(gravity_m_s2, 1.0 / length)


def _elevation(up: Vector, axis: Axis) -> float:
    return math.degrees(math.asin(_clamped(_dot(axis.value, up))))


def _length(vector: Vector) -> float:
    return math.hypot(*vector)


def _dot(one: Vector, other: Vector) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _cross(one: Vector, other: Vector) -> Vector:
    (a, b, c), (d, e, f) = one, other
    return (b * f - c * e, c * d - a * f, a * e - b * d)


def _scaled(vector: Vector, factor: float) -> Vector:
    return (vector[0] * factor, vector[1] * factor, vector[2] * factor)


def _clamped(value: float) -> float:
    return max(-1.0, min(1.0, value))


def _rms(values: Sequence[float]) -> float:
    return math.sqrt(fmean(value * value for value in values))
