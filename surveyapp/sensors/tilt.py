"""How steeply the phone points, from gravity along its axes.

Through plyer's gravity, else its accelerometer, which says the same at rest; tested against a
fake of both, since no phone was at hand.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.model import TiltSample
from surveyapp.sensors.heading import switch_off, switched_on, vector_of
from surveyapp.sensors.port import ScriptedSensor, Sensor

FakeTilt = ScriptedSensor[TiltSample]
"""A scripted stand-in for tests and for a desk without such a sensor."""


class PlyerTilt(Sensor[TiltSample]):
    """One sample each time it is asked, once the sensor has spoken."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._sensor: Any = None
        self._field = "gravity"

    def start(self) -> None:
        """Switch the sensor on; raises SensorUnavailable where there is none."""
        if self._sensor is not None:
            return
        try:
            self._sensor, self._field = switched_on("gravity"), "gravity"
        except SensorUnavailable:
            self._sensor, self._field = switched_on("accelerometer"), "acceleration"

    def take(self) -> list[TiltSample]:
        """What the sensor says now."""
        if self._sensor is None:
            return []
        gravity_m_s2 = vector_of(self._sensor, self._field, "tilt sensor")
        if gravity_m_s2 is None:
            return []
        return [TiltSample(time_utc=self._clock(), gravity_m_s2=gravity_m_s2)]

    def stop(self) -> None:
        """Switch it off."""
        switch_off(self._sensor)
        self._sensor = None
