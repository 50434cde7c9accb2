"""A speed run with all that bears on the question what limits it."""

from __future__ import annotations

from dataclasses import dataclass

from surveyapp.analysis.run_link import RunLink
from surveyapp.model import Sector, SpeedRun, StopScene


@dataclass(frozen=True, kw_only=True, slots=True)
class RunCase:
    """A run with all that is asked about it. `sectors` are those its legs likely came from."""

    scene: StopScene
    run: SpeedRun
    link: RunLink
    sectors: tuple[Sector, ...] = ()

    @property
    def label(self) -> str:
        """The phone's label."""
        return label_of(self.scene, self.run.device_id)

    @property
    def others(self) -> tuple[SpeedRun, ...]:
        """The other runs at this stop."""
        return tuple(run for run in self.scene.speed_runs if run.id != self.run.id)

    @property
    def is_low(self) -> bool:
        """Whether less came than the carriers should carry at least."""
        rate, down = self.link.rate, self.run.down_mbps
        return rate is not None and down is not None and down < rate.low_mbps

    @property
    def share(self) -> float:
        """Measured as a factor of the likely rate, 1 where either is not known."""
        rate, down = self.link.rate, self.run.down_mbps
        return 1.0 if rate is None or down is None else rate.share(down)


def label_of(scene: StopScene, device_id: str) -> str:
    """A phone's label."""
    found = (device.label for device in scene.devices if device.id == device_id)
    return next(found, "this phone")
