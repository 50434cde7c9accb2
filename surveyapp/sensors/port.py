"""The port every sensor has: start it, take what it has said since, stop it.

Sensors are asked, they do not call back: their own callbacks come on threads of the system,
and a screen can only be touched from its own. Samples are raw; `surveyapp.geometry` judges them.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import Generic, TypeVar

from surveyapp.errors import SensorUnavailable

S = TypeVar("S")


class Sensor(ABC, Generic[S]):
    """A source of samples. Every failure is a SensorUnavailable with one sentence."""

    permissions: tuple[str, ...] = ()
    """What the system must allow before `start`, by the system's names."""

    @abstractmethod
    def start(self) -> None:
        """Begin to measure; starting twice is no error. Raises SensorUnavailable."""

    @abstractmethod
    def take(self) -> list[S]:
        """All samples since the last call, oldest first; empty where none came.

        Raises SensorUnavailable where the sensor failed meanwhile.
        """

    @abstractmethod
    def stop(self) -> None:
        """End measuring and rest the battery; stopping twice is no error. Never raises."""


class ScriptedSensor(Sensor[S]):
    """A fake that says what it was told to: one batch of samples each time it is asked.

    A SensorUnavailable in the script is raised in its turn; `refusal` is raised by `start`.
    """

    def __init__(
        self,
        script: Sequence[Sequence[S] | SensorUnavailable] = (),
        refusal: SensorUnavailable | None = None,
    ) -> None:
        self._script = list(script)
        self._refusal = refusal
        self.running = False

    def start(self) -> None:
        """Raise the refusal, or be running."""
        if self._refusal is not None:
            raise SensorUnavailable(str(self._refusal)) from self._refusal
        self.running = True

    def take(self) -> list[S]:
        """The next batch of the script; nothing while stopped or once it is over."""
        if not self.running or not self._script:
            return []
        batch = self._script.pop(0)
        if isinstance(batch, SensorUnavailable):
            raise SensorUnavailable(str(batch)) from batch
        return list(batch)

    def stop(self) -> None:
        """Be stopped."""
        self.running = False
