"""The demo's scenario: who, what and when. Everything named here is invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from math import log10

from surveyapp.model import Device, Rat, SectorCarrier, SiteKind, Weather

INVENTED = "Invented for the demo: no such operator, node or phone exists; nothing was measured."
OPERATOR = "Heron Mobile (invented)"
TIME_ZONE = "Europe/Helsinki"

# n258, NR-ARFCN 2054167 (TS 38.104 section 5.4.2.1); band 3, EARFCN 1300 (TS 36.104 section 5.7.3)
NR_CARRIER = SectorCarrier(
    rat=Rat.NR, band="n258", channel=2054167, mhz=26500.08, bandwidth_mhz=100.0, count=4
)
LTE_CARRIER = SectorCarrier(
    rat=Rat.LTE, band="B3", channel=1300, mhz=1815.0, bandwidth_mhz=20.0, count=1
)
# Resource blocks: TS 38.101-2 table 5.3.2-1 (100 MHz, 120 kHz); TS 36.101 table 5.6-1 (20 MHz)
BLOCKS = {Rat.NR: 66, Rat.LTE: 100}
SPACING_KHZ = {Rat.NR: 120.0, Rat.LTE: 15.0}


def element_eirp_dbm(eirp_dbm: float, rat: Rat) -> float:
    """The share of a carrier's EIRP that one resource element has; 12 elements a block."""
    return eirp_dbm - 10.0 * log10(12.0 * BLOCKS[rat])


@dataclass(frozen=True, kw_only=True, slots=True)
class SitePlan:
    """One installation to be placed; `turns_deg` are its panels, off the street's direction."""

    name: str
    kind: SiteKind
    height_m: float
    rat: Rat
    eirp_dbm: float
    turns_deg: tuple[float, ...]
    listed: bool = True


SITES = (
    SitePlan(name="Node Alder", kind=SiteKind.LAMP_POST, height_m=7.5, rat=Rat.NR,
             eirp_dbm=54.0, turns_deg=(0.0, 180.0)),
    SitePlan(name="Node Hazel", kind=SiteKind.WALL, height_m=14.0, rat=Rat.LTE,
             eirp_dbm=47.0, turns_deg=(-80.0, 0.0, 80.0)),
    SitePlan(name="Node Birch", kind=SiteKind.LAMP_POST, height_m=8.0, rat=Rat.NR,
             eirp_dbm=54.0, turns_deg=(0.0, 120.0, 240.0)),
    SitePlan(name="Node Cedar", kind=SiteKind.WALL, height_m=6.0, rat=Rat.NR,
             eirp_dbm=51.0, turns_deg=(-50.0, 50.0)),
    SitePlan(name="Node Rowan", kind=SiteKind.WALL, height_m=12.0, rat=Rat.LTE,
             eirp_dbm=47.0, turns_deg=(-60.0, 60.0)),
    SitePlan(name="Node Linden", kind=SiteKind.LAMP_POST, height_m=7.0, rat=Rat.NR,
             eirp_dbm=54.0, turns_deg=(0.0, 180.0)),
    SitePlan(name="Node Yew", kind=SiteKind.LAMP_POST, height_m=7.5, rat=Rat.NR,
             eirp_dbm=54.0, turns_deg=(0.0, 180.0), listed=False),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class PhonePlan:
    """A phone and what it truly adds to each RSRP it reports."""

    device: Device
    offset_db: float


def phones(ids: tuple[str, str]) -> tuple[PhonePlan, PhonePlan]:
    """The two phones, under the row identities handed in."""
    return (
        PhonePlan(
            device=Device(
                id=ids[0], label="Phone A", model="Larch 7 (invented)", modem="Q1 (invented)",
                system="16", operator=OPERATOR, text=INVENTED,
            ),
            offset_db=0.5,
        ),
        PhonePlan(
            device=Device(
                id=ids[1], label="Phone B", model="Fjord 3 (invented)", modem="T9 (invented)",
                system="15", operator=OPERATOR, text=INVENTED,
            ),
            offset_db=-3.0,
        ),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class VisitPlan:
    """One outing; `again` stands of the first are visited once more, `fresh` are new."""

    title: str
    starts_utc: datetime
    weather: Weather
    rain_mm_h: float | None
    again: int
    fresh: int


VISITS = (
    VisitPlan(title="Demo, first visit (invented)", weather=Weather.DRY, rain_mm_h=None,
              starts_utc=datetime(2026, 5, 4, 6, 10, tzinfo=UTC), again=0, fresh=17),
    VisitPlan(title="Demo, second visit (invented)", weather=Weather.LIGHT_RAIN, rain_mm_h=1.0,
              starts_utc=datetime(2026, 5, 25, 12, 40, tzinfo=UTC), again=11, fresh=3),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class ServerPlan:
    """A speed-test server: the machine is invented, the town is real."""

    place: str
    lat_deg: float
    lon_deg: float
    distance_km: float


NEAR_SERVER = ServerPlan(
    place="Espoo (invented server)", lat_deg=60.2055, lon_deg=24.6559, distance_km=16.0
)
FAR_SERVER = ServerPlan(
    place="Lisbon (invented server)", lat_deg=38.7223, lon_deg=-9.1393, distance_km=3360.0
)
