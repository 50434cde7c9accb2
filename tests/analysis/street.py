"""A straight street with one node and a surveyor: scenes to judge readings and runs on."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from surveyapp.geometry.geodesy import destination
from surveyapp.model import (
    Carrier,
    Device,
    Mode,
    PositionFrom,
    Rat,
    Reading,
    Role,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    SpeedRun,
    Stop,
    StopScene,
    Survey,
    View,
)

NODE_DEG = (60.17, 24.94)
NOON = datetime(2026, 5, 4, 10, 0, tzinfo=UTC)
A = Device(id="a", label="Phone A")
B = Device(id="b", label="Phone B")
NR = Carrier(role=Role.PRIMARY, rat=Rat.NR, band="n258", bandwidth_mhz=100.0, count=4,
             rsrp_dbm=-75.0, rsrq_db=-4.0, sinr_db=14.0)  # fmt: skip
LTE = Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="B3", bandwidth_mhz=20.0,
              rsrp_dbm=-85.0, rsrq_db=-8.0, sinr_db=12.0)  # fmt: skip
NEAR = {"server_place": "Town", "server_lat_deg": 60.2, "server_lon_deg": 24.9}
FAR = {"server_place": "Far town", "server_lat_deg": 38.7, "server_lon_deg": -9.1}


def node(**changes: Any) -> tuple[Site, Sector]:
    """A lamp post whose one panel looks north; `changes` go to the sector."""
    site = Site(id="node", name="Node", kind=SiteKind.LAMP_POST, status=SiteStatus.LIVE,
                lat_deg=NODE_DEG[0], lon_deg=NODE_DEG[1], position_sigma_m=3.0,
                height_m=8.0)  # fmt: skip
    carriers = (
        SectorCarrier(rat=Rat.NR, band="n258", bandwidth_mhz=100.0, count=4),
        SectorCarrier(rat=Rat.LTE, band="B3", bandwidth_mhz=20.0),
    )
    sector = Sector(id="panel", site_id="node", label="S1", azimuth_deg=0.0,
                    azimuth_sigma_deg=5.0, beamwidth_deg=65.0, carriers=carriers)  # fmt: skip
    return site, replace(sector, **changes)


def stop(bearing_deg: float = 0.0, distance_m: float = 60.0, **changes: Any) -> Stop:
    """Where the surveyor stands, as seen from the node."""
    lat_deg, lon_deg = destination(*NODE_DEG, bearing_deg, distance_m)
    place = Stop(id="stop", survey_id="survey", number=1, time_utc=NOON, lat_deg=lat_deg,
                 lon_deg=lon_deg, position_sigma_m=5.0,
                 position_from=PositionFrom.SENSOR)  # fmt: skip
    return replace(place, **changes)


def reading(*carriers: Carrier, device: Device = A, **changes: Any) -> Reading:
    """What a phone shows, without carriers the usual two."""
    found = Reading(id=f"reading {device.id}", stop_id="stop", device_id=device.id,
                    time_utc=NOON + timedelta(minutes=1), mode=Mode.NSA,
                    carriers=carriers or (NR, LTE))  # fmt: skip
    return replace(found, **changes)


def speed_run(name: str = "run", device: Device = A, **changes: Any) -> SpeedRun:
    """A run against a near server."""
    found = SpeedRun(id=name, stop_id="stop", device_id=device.id, down_mbps=700.0, up_mbps=40.0,
                     time_utc=NOON + timedelta(minutes=2), ping_ms=12.0, jitter_ms=1.5,
                     loss_pct=0.0, **NEAR)  # fmt: skip
    return replace(found, **changes)


def scene(**changes: Any) -> StopScene:
    """The node in clear view, one reading, one run; `changes` go to the scene."""
    site, sector = node()
    seen = Sighting(id="seen", stop_id="stop", site_id="node", view=View.CLEAR)
    found = StopScene(
        survey=Survey(id="survey", title="Street"), stop=stop(), sites=(site,), sectors=(sector,),
        devices=(A, B), sightings=(seen,), readings=(reading(),), speed_runs=(speed_run(),),
    )  # fmt: skip
    return replace(found, **changes)
