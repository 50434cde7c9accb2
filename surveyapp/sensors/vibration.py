"""A short buzz as feedback. It is never needed, so what cannot buzz stays silent."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from surveyapp.errors import SensorUnavailable
from surveyapp.sensors import android


class Vibration(ABC):
    """The port; never raises."""

    @abstractmethod
    def buzz(self, duration_ms: int = 20) -> None:
        """Buzz for so long, where the machine can."""


class PlyerVibration(Vibration):
    """Through plyer; probed once, then silent for good where there is none."""

    def __init__(self) -> None:
        self._motor: Any = None
        self._missing = False

    def buzz(self, duration_ms: int = 20) -> None:
        """Buzz, or note that this machine cannot."""
        if self._missing:
            return
        try:
            if self._motor is None:
                self._motor = android.facade("vibrator")
            self._motor.vibrate(duration_ms / 1000.0)
        except SensorUnavailable:
            self._missing = True
        except Exception:
            self._missing = True  # permission or service missing: feedback only


class FakeVibration(Vibration):
    """Remembers what it was asked for."""

    def __init__(self) -> None:
        self.buzzed_ms: list[int] = []

    def buzz(self, duration_ms: int = 20) -> None:
        """Note the duration."""
        self.buzzed_ms.append(duration_ms)
