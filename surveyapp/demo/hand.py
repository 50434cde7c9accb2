"""What the invented surveyor writes down at a stop: sightings, readings, speed runs.

Everything carries the errors of its instrument: a compass of 4 degrees, a phone position of
6 m among houses, an RSRP that swings by 1 dB (common practice).
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from surveyapp.demo.air import efficiency_bps_hz
from surveyapp.demo.plan import NEAR_SERVER, PhonePlan, ServerPlan
from surveyapp.demo.truth import TruePath, TrueSector, TrueSite
from surveyapp.geometry.geodesy import Geodesic, angle_between_deg
from surveyapp.geometry.headings import magnetic_from_true, true_from_magnetic
from surveyapp.model import (
    Carrier,
    Mode,
    NorthReference,
    Rat,
    Reading,
    Role,
    Sighting,
    SpeedRun,
    Stop,
    View,
)

COMPASS_SIGMA_DEG = 4.0
READING_SIGMA_DB = 1.0
FACES_DEG = (0.0, 45.0, -45.0, 90.0, -90.0, 180.0)
PANEL_TOLD_APART_M = 120.0  # beyond, the surveyor sees a node but not how its panels are turned
TDD_DOWN = 0.72  # share of downlink in a common pattern (common practice)
TDD_UP = 0.22
UPLINK_SINR_LESS_DB = 12.0  # a phone sends with far less EIRP: an assumption of the demo
LTE_CELL_SHARE = 0.4
# What guards, control, reference elements, repeats and headers leave of a carrier; common practice
DATA_SHARE = 0.7
FIBRE_MS_PER_KM = 2.0 * 1.468 / 299.792458  # there and back at light's speed in glass
DETOUR = 1.4  # cables do not run straight: an assumption of the demo


@dataclass(frozen=True, slots=True)
class Hand:
    """The surveyor's hand: chance, row identities drawn from it, and the local declination."""

    rng: np.random.Generator
    declination_deg: float

    def new_id(self) -> str:
        """A row identity drawn from the seed, so that a demo can be made again."""
        return str(uuid.UUID(bytes=self.rng.bytes(16), version=4))

    def sighting(self, stop: Stop, site: TrueSite, line: Geodesic) -> Sighting:
        """A compass bearing to a site; near enough, to the panel that faces the surveyor most."""
        read_deg = line.azimuth_deg + COMPASS_SIGMA_DEG * self.rng.standard_normal()
        raw_deg = float(round(magnetic_from_true(read_deg, self.declination_deg)) % 360)
        seen = Sighting(
            id=self.new_id(), stop_id=stop.id, site_id=site.id,
            bearing_deg=round(true_from_magnetic(raw_deg, self.declination_deg), 2) % 360.0,
            raw_bearing_deg=raw_deg, raw_reference=NorthReference.MAGNETIC,
            declination_deg=round(self.declination_deg, 2), sigma_deg=5.0, view=View.CLEAR,
        )  # fmt: skip
        if line.distance_m > PANEL_TOLD_APART_M:
            return replace(seen, view=View.PARTLY)
        turned = [
            (angle_between_deg(line.azimuth_deg + 180.0, sector.azimuth_deg), sector)
            for sector in site.sectors
        ]
        facing_deg, sector = min(turned, key=lambda pair: abs(pair[0]))
        nearest_deg = min(FACES_DEG, key=lambda face: abs(angle_between_deg(face, facing_deg)))
        return replace(seen, sector_id=sector.id, facing_deg=nearest_deg)

    def carrier(
        self, role: Role, sector: TrueSector, path: TruePath, rsrp_dbm: float, *, tells_pci: bool
    ) -> Carrier:
        """One line of a reading, rounded as phones show it."""
        air = sector.carrier
        swing = self.rng.standard_normal(2)
        return Carrier(
            role=role, rat=air.rat, band=air.band, channel=air.channel, mhz=air.mhz,
            bandwidth_mhz=air.bandwidth_mhz, count=air.count,
            pci=sector.pci if tells_pci else None,
            rsrp_dbm=float(round(rsrp_dbm)),
            rsrq_db=round(2.0 * (path.rsrq_db + 0.5 * swing[0])) / 2.0,
            sinr_db=float(round(path.sinr_db + swing[1])),
        )  # fmt: skip

    def reading(
        self, stop: Stop, phone: PhonePlan, time_utc: datetime, carriers: tuple[Carrier, ...]
    ) -> Reading:
        """What one phone shows: with a 5G leg NSA, without LTE alone."""
        has_nr = any(carrier.role is Role.ANCHOR for carrier in carriers)
        return Reading(
            id=self.new_id(), stop_id=stop.id, device_id=phone.device.id, time_utc=time_utc,
            mode=Mode.NSA if has_nr else Mode.LTE, carriers=carriers,
        )  # fmt: skip

    def speed_run(
        self,
        stop: Stop,
        reading: Reading,
        time_utc: datetime,
        server: ServerPlan = NEAR_SERVER,
    ) -> SpeedRun:
        """One throughput test: what the carriers allow, less what others take."""
        share = float(self.rng.uniform(0.6, 0.95))
        down = up = 0.0
        for carrier in reading.carriers:
            down_mbps, up_mbps = _carried(carrier)
            down, up = down + share * down_mbps, up + share * up_mbps
        far_ms = FIBRE_MS_PER_KM * DETOUR * server.distance_km
        if server.distance_km > 1000.0:
            down = min(down, 180.0 * share)  # many streams still fill little over a long way
        return SpeedRun(
            id=self.new_id(), stop_id=stop.id, device_id=reading.device_id, time_utc=time_utc,
            reading_id=reading.id, down_mbps=round(down, 1), up_mbps=round(up, 1),
            ping_ms=float(round(9.0 + far_ms + self.rng.gamma(2.0, 1.5))),
            jitter_ms=round(float(self.rng.gamma(2.0, 0.8)), 1), loss_pct=0.0,
            server_place=server.place, server_lat_deg=server.lat_deg,
            server_lon_deg=server.lon_deg,
        )  # fmt: skip


def _carried(carrier: Carrier) -> tuple[float, float]:
    """Megabits a second (down, up) of one kind of carrier; two layers where the SINR allows.

    Two layers share the power, so each has 3 dB less.
    """
    sinr_db = carrier.sinr_db or 0.0
    width_mhz = DATA_SHARE * (carrier.bandwidth_mhz or 0.0)
    layers = 2.0 if sinr_db > 8.0 else 1.0
    each_db = sinr_db - 3.0 * (layers - 1.0)
    down = layers * width_mhz * carrier.count * efficiency_bps_hz(each_db)
    up = width_mhz * efficiency_bps_hz(sinr_db - UPLINK_SINR_LESS_DB)
    if carrier.rat is Rat.LTE:
        return LTE_CELL_SHARE * down, LTE_CELL_SHARE * up
    return TDD_DOWN * down, TDD_UP * up
