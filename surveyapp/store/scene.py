"""All that bears on one stop, gathered from the notebook's tables."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar, cast

from surveyapp.model import (
    Device,
    Ground,
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
from surveyapp.store.connection import Connection
from surveyapp.store.ground import GroundStore
from surveyapp.store.reach import box_around, within
from surveyapp.store.rows import kind_of
from surveyapp.store.tables import Tables

R = TypeVar("R", bound=Row)


class Scenes:
    """Gathers the scenes of stops, one or many in one pass.

    What several of them hold alike, a street, a house, a site, a phone, is one object in all:
    thousands of stops then take little more than their own entries.
    """

    def __init__(self, connection: Connection, tables: Tables, ground: GroundStore) -> None:
        self._connection = connection
        self._tables = tables
        self._ground = ground.shared()
        self._known: dict[Row, Row] = {}

    def of(self, survey: Survey, stop: Stop, reach_m: float) -> StopScene:
        """The scene: see Notebook.stop_scene."""
        sightings = self._all(Sighting, stop_id=stop.id)
        readings = self._all(Reading, stop_id=stop.id)
        runs = self._all(SpeedRun, stop_id=stop.id)
        remarks = self._all(Remark, stop_id=stop.id)
        preparations = self._all(Preparation, stop_id=stop.id)
        users: Iterable[Reading | SpeedRun | Remark | Preparation]
        users = (*readings, *runs, *remarks, *preparations)
        sites = self._sites(stop, reach_m, {sighting.site_id for sighting in sightings})
        here = stop.lat_deg is not None and stop.lon_deg is not None
        device_ids = [user.device_id for user in users if user.device_id]
        return StopScene(
            survey=self._same(survey),
            stop=stop,
            sites=sites,
            sectors=self._shared(self._all(Sector, site_id=[site.id for site in sites])),
            devices=self._shared(self._all(Device, id=device_ids)),
            sightings=sightings,
            readings=readings,
            speed_runs=runs,
            photos=self._all(Photo, stop_id=stop.id),
            remarks=remarks,
            preparations=preparations,
            ground=self._ground.around(stop.lat_deg or 0.0, stop.lon_deg or 0.0, reach_m)
            if here
            else Ground(attribution=self._ground.attribution),
        )

    def _all(self, made: type[R], **where: object) -> tuple[R, ...]:
        return cast("tuple[R, ...]", tuple(self._tables.select(kind_of(made), where)))

    def _shared(self, rows: tuple[R, ...]) -> tuple[R, ...]:
        return tuple(map(self._same, rows))

    def _same(self, row: R) -> R:
        """The row as it was handed out before, where it was."""
        return cast("R", self._known.setdefault(row, row))

    def _sites(self, stop: Stop, reach_m: float, sighted: set[str]) -> tuple[Site, ...]:
        """Sites within reach and sites sighted from here, in natural order."""
        wanted = set(sighted)
        if stop.lat_deg is not None and stop.lon_deg is not None:
            box = box_around(stop.lat_deg, stop.lon_deg, reach_m)
            for site_id, lat_deg, lon_deg in self._connection.rows(
                "SELECT id, lat_deg, lon_deg FROM site WHERE deleted_utc IS NULL "
                "AND lat_deg IS NOT NULL AND lat_deg BETWEEN ? AND ?",
                (box.south_deg, box.north_deg),
            ):
                if within(stop.lat_deg, stop.lon_deg, lat_deg, lon_deg, reach_m):
                    wanted.add(site_id)
        return self._shared(self._all(Site, id=wanted))
