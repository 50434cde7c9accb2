"""One survey as it is to be told: its rows, the ground about it and its pictures.

Whoever hands it over has taken out what is not to be published; the report knows nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, cast

import numpy as np

from surveyapp.errors import NotFound
from surveyapp.geometry.geodesy import inverse
from surveyapp.model import (
    Device,
    Ground,
    LatLon,
    Photo,
    Preparation,
    Reading,
    Remark,
    Row,
    Sector,
    Sighting,
    Site,
    SpeedRun,
    Stop,
    StopScene,
    Survey,
)

SHORTEST_DEGREE_M = 110_570.0  # of latitude, at the equator of WGS84
REACH_M = 600.0  # sites farther than this from a stop are no candidates there
_METRES_PER_DEGREE = 111_000.0  # a little less than a degree of latitude, for boxes only

R = TypeVar("R", bound=Row)
_Entries = dict[type[Row], list[Row]]  # of one stop


@dataclass(frozen=True, kw_only=True)
class SurveyRecord:
    """All rows of one survey in natural order, the ground, and pictures by their file's name.

    `hidden` are clauses on what was taken out or made coarser before publishing; then
    `exact_times` and `exact_places` tell whether the rows' own may be shown.
    """

    survey: Survey
    rows: tuple[Row, ...]
    ground: Ground = field(default_factory=Ground)
    pictures: Mapping[str, bytes] = field(default_factory=dict)
    hidden: tuple[str, ...] = ()
    exact_times: bool = True
    exact_places: bool = True

    def of(self, kind: type[R]) -> tuple[R, ...]:
        """The rows of one kind, in their order."""
        return tuple(row for row in self.rows if type(row) is kind)

    @cached_property
    def scenes(self) -> tuple[StopScene, ...]:
        """Each stop with its entries, the sites in reach or sighted, and the ground around."""
        return self._scenes(_Nearby(self.ground).around)

    @cached_property
    def bare_scenes(self) -> tuple[StopScene, ...]:
        """The same without the ground around, for telling what was worked out from others."""
        return self._scenes(lambda _: Ground())

    def _scenes(self, ground_of: Callable[[Stop], Ground]) -> tuple[StopScene, ...]:
        entries = _by_stop(self.rows)
        return tuple(
            self._scene(stop, entries.get(stop.id, {}), ground_of(stop)) for stop in self.of(Stop)
        )

    def _scene(self, stop: Stop, here: _Entries, ground: Ground) -> StopScene:
        sightings = _those(here, Sighting)
        readings, runs = _those(here, Reading), _those(here, SpeedRun)
        remarks, preparations = _those(here, Remark), _those(here, Preparation)
        entries: tuple[Reading | SpeedRun | Remark | Preparation, ...]
        entries = (*readings, *runs, *remarks, *preparations)
        users = {entry.device_id for entry in entries}
        sighted = {sighting.site_id for sighting in sightings}
        sites = tuple(site for site in self.of(Site) if site.id in sighted or _in_reach(stop, site))
        own = {site.id for site in sites}
        return StopScene(
            survey=self.survey,
            stop=stop,
            sites=sites,
            sectors=tuple(sector for sector in self.of(Sector) if sector.site_id in own),
            devices=tuple(device for device in self.of(Device) if device.id in users),
            sightings=sightings,
            readings=readings,
            speed_runs=runs,
            photos=_those(here, Photo),
            remarks=remarks,
            preparations=preparations,
            ground=ground,
        )


def record_of(
    rows: Sequence[Row],
    *,
    ground: Ground | None = None,
    pictures: Mapping[str, bytes] | None = None,
    hidden: Iterable[str] = (),
    exact_times: bool = True,
    exact_places: bool = True,
) -> SurveyRecord:
    """The record of the one survey among `rows`; raises NotFound where there is not just one."""
    surveys = [row for row in rows if isinstance(row, Survey)]
    if len(surveys) != 1:
        raise NotFound(f"A report tells one survey, and {len(surveys)} were given: choose one.")
    return SurveyRecord(
        survey=surveys[0],
        rows=tuple(rows),
        ground=ground or Ground(),
        pictures=pictures or {},
        hidden=tuple(hidden),
        exact_times=exact_times,
        exact_places=exact_places,
    )


def _by_stop(rows: Iterable[Row]) -> dict[str, _Entries]:
    """What was entered at each stop by its id, kind by kind, in the rows' order."""
    entries: dict[str, _Entries] = {}
    for row in rows:
        stop_id: str | None = getattr(row, "stop_id", None)
        if stop_id is not None:
            entries.setdefault(stop_id, {}).setdefault(type(row), []).append(row)
    return entries


def _those(here: _Entries, kind: type[R]) -> tuple[R, ...]:
    return cast("tuple[R, ...]", tuple(here.get(kind, ())))


def _in_reach(stop: Stop, site: Site) -> bool:
    if stop.lat_deg is None or stop.lon_deg is None:
        return False
    if site.lat_deg is None or site.lon_deg is None:
        return False
    if abs(stop.lat_deg - site.lat_deg) * SHORTEST_DEGREE_M > REACH_M:
        return False  # spares the geodesic of most of a large survey
    return inverse(stop.lat_deg, stop.lon_deg, site.lat_deg, site.lon_deg).distance_m <= REACH_M


class _Nearby:
    """What the ground holds, by its boxes, to find what lies around a stop."""

    def __init__(self, ground: Ground) -> None:
        self._ground = ground
        self._streets = _boxes([street.points_deg for street in ground.streets])
        self._buildings = _boxes([building.outline_deg for building in ground.buildings])
        self._furniture = _boxes([[(one.lat_deg, one.lon_deg)] for one in ground.furniture])

    def around(self, stop: Stop) -> Ground:
        """All whose box touches the box of REACH_M around the stop."""
        attribution = self._ground.attribution
        if stop.lat_deg is None or stop.lon_deg is None:
            return Ground(attribution=attribution)
        high = REACH_M / _METRES_PER_DEGREE
        wide = min(180.0, high / max(np.cos(np.radians(stop.lat_deg)), 1e-9))
        box = np.array([stop.lat_deg, stop.lon_deg]), np.array([high, wide])
        streets, buildings = self._ground.streets, self._ground.buildings
        furniture = self._ground.furniture
        return Ground(
            streets=tuple(streets[i] for i in _touching(self._streets, *box)),
            buildings=tuple(buildings[i] for i in _touching(self._buildings, *box)),
            furniture=tuple(furniture[i] for i in _touching(self._furniture, *box)),
            attribution=attribution,
        )


def _boxes(lines: Sequence[Sequence[LatLon]]) -> np.ndarray:
    """(n, 2, 2): the lowest and the highest latitude and longitude of each line."""
    if not lines:
        return np.empty((0, 2, 2))
    return np.array([(np.min(line, axis=0), np.max(line, axis=0)) for line in lines])


def _touching(boxes: np.ndarray, middle: np.ndarray, half: np.ndarray) -> list[int]:
    """Indexes of the boxes that touch the box about `middle`; also across the date line."""
    low, high = boxes[:, 0] - middle, boxes[:, 1] - middle
    turn = np.array([0.0, 360.0])
    away = np.round((low + high) / 2.0 / 360.0) * turn
    inside = ((low - away <= half) & (high - away >= -half)).all(axis=1)
    return [int(index) for index in np.flatnonzero(inside)]
