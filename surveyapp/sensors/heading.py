"""Which way the phone points: the raw magnetic field and gravity, along the phone's axes.

`surveyapp.geometry.pointing` makes a heading of them and judges it. Through plyer's compass and
gravity; tested against a fake of both, since no phone was at hand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.model import HeadingSample, Vector
from surveyapp.sensors import android
from surveyapp.sensors.port import ScriptedSensor, Sensor

FakeHeading = ScriptedSensor[HeadingSample]
"""A scripted stand-in for tests and for a desk without a compass."""


class PlyerHeading(Sensor[HeadingSample]):
    """One sample each time it is asked, once both sensors have spoken."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._compass: Any = None
        self._gravity: Any = None

    def start(self) -> None:
        """Switch compass and gravity on; raises SensorUnavailable where one is missing."""
        if self._compass is not None:
            return
        compass = switched_on("compass")
        try:
            self._gravity = switched_on("gravity")
        except SensorUnavailable:
            switch_off(compass)
            raise
        self._compass = compass

    def take(self) -> list[HeadingSample]:
        """What both sensors say now."""
        if self._compass is None:
            return []
        field_ut = vector_of(self._compass, "orientation", "compass")
        gravity_m_s2 = vector_of(self._gravity, "gravity", "gravity sensor")
        if field_ut is None or gravity_m_s2 is None:
            return []
        return [HeadingSample(time_utc=self._clock(), field_ut=field_ut, gravity_m_s2=gravity_m_s2)]

    def stop(self) -> None:
        """Switch both off."""
        switch_off(self._compass, self._gravity)
        self._compass = self._gravity = None


def switched_on(name: str) -> Any:
    """A sensor of plyer, measuring; raises SensorUnavailable where it cannot."""
    sensor = android.facade(name)
    try:
        sensor.enable()
    except Exception as error:
        raise SensorUnavailable(
            f"The {name} of this phone cannot be used: enter the value by hand."
        ) from error
    return sensor


def switch_off(*sensors: Any) -> None:
    """Rest sensors of plyer; one that fails to is left to the system."""
    for sensor in sensors:
        try:
            if sensor is not None:
                sensor.disable()
        except Exception:
            continue


def vector_of(sensor: Any, field: str, name: str) -> Vector | None:
    """A sensor's three numbers as they are now, NaN included; None before its first ones."""
    try:
        values: Sequence[float | None] | None = getattr(sensor, field)
        if values is None or any(value is None for value in values[:3]):
            return None
        x, y, z = (float(value) for value in values[:3] if value is not None)
    except Exception as error:
        raise SensorUnavailable(
            f"The {name} stopped answering: enter the value by hand."
        ) from error
    return (x, y, z)
