"""What the machine's sensors hand over, as it came."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

Vector = tuple[float, float, float]
"""Along a phone's axes: to its right edge, to its top edge, out of its screen."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PositionSample:
    """One position of the phone's receiver, as it came; nothing in it is to be trusted yet.

    `time_utc` is this program's clock when it came, `fix_utc` the receiver's own time, and
    `accuracy_m` the radius that holds the true place in 68 % (Android, Location.getAccuracy).
    """

    time_utc: datetime
    lat_deg: float
    lon_deg: float
    accuracy_m: float | None = None
    height_m: float | None = None
    fix_utc: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class HeadingSample:
    """Magnetic field in microtesla, and the push against gravity in m/s2 (upwards at rest)."""

    time_utc: datetime
    field_ut: Vector
    gravity_m_s2: Vector


@dataclass(frozen=True, kw_only=True, slots=True)
class TiltSample:
    """The push against gravity in m/s2 (upwards at rest)."""

    time_utc: datetime
    gravity_m_s2: Vector


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture as the camera handed it over: the bytes of its file."""

    time_utc: datetime
    content: bytes
