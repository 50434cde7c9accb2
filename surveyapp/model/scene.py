"""One stop with all that bears on it."""

from __future__ import annotations

from dataclasses import dataclass, field

from surveyapp.model.ground import Ground
from surveyapp.model.rows import (
    Device,
    Photo,
    Preparation,
    Reading,
    Remark,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    Survey,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class StopScene:
    """All that bears on one stop: what was entered there, and what stands within reach."""

    survey: Survey
    stop: Stop
    sites: tuple[Site, ...] = ()
    sectors: tuple[Sector, ...] = ()
    devices: tuple[Device, ...] = ()
    sightings: tuple[Sighting, ...] = ()
    readings: tuple[Reading, ...] = ()
    speed_runs: tuple[SpeedRun, ...] = ()
    photos: tuple[Photo, ...] = ()
    remarks: tuple[Remark, ...] = ()
    preparations: tuple[Preparation, ...] = ()
    ground: Ground = field(default_factory=Ground)
