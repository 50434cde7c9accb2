"""All sensors of the machine this runs on, as one value to hand around."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from surveyapp.errors import SensorUnavailable
from surveyapp.model import HeadingSample, PositionSample, TiltSample
from surveyapp.sensors.camera import AndroidCamera, Camera, FakeCamera
from surveyapp.sensors.heading import FakeHeading, PlyerHeading
from surveyapp.sensors.permissions import FixedPermissions, Permissions, real_permissions
from surveyapp.sensors.phone_files import AndroidPhoneFiles, FakePhoneFiles
from surveyapp.sensors.phone_radio import AndroidPhoneRadio, FakePhoneRadio, PhoneRadio
from surveyapp.sensors.port import Sensor
from surveyapp.sensors.position import AndroidPosition, FakePosition
from surveyapp.sensors.screen_edges import AndroidEdges, FixedEdges, ScreenEdges
from surveyapp.sensors.tilt import FakeTilt, PlyerTilt
from surveyapp.sensors.vibration import FakeVibration, PlyerVibration, Vibration


def _no_radio() -> PhoneRadio:
    return FakePhoneRadio(SensorUnavailable("This machine has no radio: type the reading."))


@dataclass(frozen=True, kw_only=True, slots=True)
class Sensors:
    """Every port; as made here without arguments, fakes that stay silent."""

    position: Sensor[PositionSample] = field(default_factory=FakePosition)
    heading: Sensor[HeadingSample] = field(default_factory=FakeHeading)
    tilt: Sensor[TiltSample] = field(default_factory=FakeTilt)
    camera: Camera = field(default_factory=FakeCamera)
    vibration: Vibration = field(default_factory=FakeVibration)
    phone_radio: PhoneRadio = field(default_factory=_no_radio)
    permissions: Permissions = field(default_factory=FixedPermissions)
    files: Sensor[Path] = field(default_factory=FakePhoneFiles)
    edges: ScreenEdges = field(default_factory=FixedEdges)


def real_sensors(clock: Callable[[], datetime]) -> Sensors:
    """The adapters of this machine; nothing is touched until one is started."""
    return Sensors(
        position=AndroidPosition(clock),
        heading=PlyerHeading(clock),
        tilt=PlyerTilt(clock),
        camera=AndroidCamera(clock),
        vibration=PlyerVibration(),
        phone_radio=AndroidPhoneRadio(),
        permissions=real_permissions(),
        files=AndroidPhoneFiles(),
        edges=AndroidEdges(),
    )
