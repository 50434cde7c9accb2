"""One row of every kind, with every field filled, for the tests and the kept notebooks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from surveyapp.model import (
    Building,
    Carrier,
    CheckedAgainst,
    CompassCheck,
    Device,
    Draft,
    Furniture,
    FurnitureKind,
    Ground,
    Mode,
    NorthReference,
    Photo,
    PositionFrom,
    Preparation,
    Rat,
    Reading,
    Remark,
    RemarkKind,
    Role,
    Row,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    Source,
    SpeedRun,
    Stop,
    Streams,
    Street,
    Survey,
    View,
    Weather,
)

WHEN = datetime(2026, 5, 4, 12, 0, 0, 250_000, tzinfo=UTC)

ROWS: tuple[Row, ...] = (
    Survey(
        id="survey-1", title="Harbour, first visit", time_zone="Europe/Helsinki",
        place_text="Invented quay", weather=Weather.LIGHT_RAIN, rain_mm_h=1.5,
        purpose="Find the new nodes", text="Windy – 'gusts'", hidden="exact times",
    ),
    Site(
        id="site-1", name="Quay 4", operator="Invented operator", kind=SiteKind.LAMP_POST,
        status=SiteStatus.LIVE, lat_deg=60.171, lon_deg=24.941, position_sigma_m=2.5,
        position_from=PositionFrom.STOOD_BENEATH, height_m=7.5, text="Grey box",
    ),
    Sector(
        id="sector-1", site_id="site-1", label="A", azimuth_deg=120.0, azimuth_sigma_deg=4.0,
        beamwidth_deg=65.0, downtilt_deg=3.0, height_m=7.25, eirp_dbm=55.0, pci=101,
        carriers=(
            SectorCarrier(rat=Rat.NR, band="n258", channel=2079167, mhz=27750.0,
                          bandwidth_mhz=100.0, count=4, pci=102),
            SectorCarrier(rat=Rat.LTE, band="b20"),
        ),
    ),
    Device(
        id="device-1", label="Phone A", model="Invented 1", modem="Invented M1",
        system="Invented OS 4", operator="Invented operator", text="Cracked corner",
    ),
    Stop(
        id="stop-1", survey_id="survey-1", number=3, time_utc=WHEN, lat_deg=60.1705,
        lon_deg=24.9405, position_sigma_m=6.0, position_from=PositionFrom.SENSOR,
        place_text="Mill Street",
    ),
    Sighting(
        id="sighting-1", stop_id="stop-1", site_id="site-1", sector_id="sector-1",
        bearing_deg=27.4, raw_bearing_deg=17.4, raw_reference=NorthReference.MAGNETIC,
        declination_deg=10.0, sigma_deg=3.0, elevation_deg=5.5, distance_m=61.5,
        facing_deg=-45.0, view=View.PARTLY,
    ),
    Reading(
        id="reading-1", stop_id="stop-1", device_id="device-1", time_utc=WHEN, mode=Mode.NSA,
        source=Source.LINE,
        carriers=(
            Carrier(role=Role.PRIMARY, rat=Rat.NR, band="n258", channel=2079167, mhz=27750.0,
                    bandwidth_mhz=100.0, count=4, pci=101, rsrp_dbm=-86.0, rsrq_db=-12.5,
                    sinr_db=14.0),
            Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="b20", bandwidth_mhz=10.0),
        ),
    ),
    SpeedRun(
        id="run-2", stop_id="stop-1", device_id="device-1", time_utc=WHEN, together_with="run-1",
    ),
    SpeedRun(
        id="run-1", stop_id="stop-1", device_id="device-1", time_utc=WHEN,
        reading_id="reading-1", down_mbps=1480.0, up_mbps=96.0, ping_ms=17.0, jitter_ms=2.4,
        loss_pct=0.0, server_place="Invented town", server_lat_deg=60.2, server_lon_deg=24.9,
        streams=Streams.ONE, together_with="run-2", retransmits=12,
    ),
    Photo(
        id="photo-1", survey_id="survey-1", stop_id="stop-1", file=f"{'ab' * 32}.jpg",
        time_utc=WHEN, lat_deg=60.1705, lon_deg=24.9405, direction_deg=30.0,
        direction_reference=NorthReference.TRUE, caption="The lamp post",
    ),
    Remark(
        id="remark-1", stop_id="stop-1", device_id="device-1", time_utc=WHEN,
        kind=RemarkKind.LOST_5G, text="Back after 20 s",
    ),
    Preparation(
        id="preparation-1", stop_id="stop-1", device_id="device-1", radio_reset_utc=WHEN,
        network_mode_utc=WHEN, battery_and_heat_utc=WHEN, server_chosen_utc=WHEN,
    ),
    CompassCheck(
        id="compass-check-1", survey_id="survey-1", device_id="device-1", time_utc=WHEN,
        offset_deg=-4.5, sigma_deg=1.2, checked_against=CheckedAgainst.PLAN,
    ),
)  # fmt: skip

SINCE: dict[type[Row], int] = {Preparation: 3, CompassCheck: 3}
"""The schema that brought a kind of row, where it was not the first."""


def rows_of(schema: int) -> tuple[Row, ...]:
    """One row of every kind that a notebook of this schema holds."""
    rows = (row for row in ROWS if SINCE.get(type(row), 1) <= schema)
    return tuple(_before(row, schema) for row in rows)


def _before(row: Row, schema: int) -> Row:
    """The row without the fields that came later."""
    if isinstance(row, SpeedRun) and schema < 5:
        return replace(row, retransmits=None)
    if isinstance(row, Survey) and schema < 6:
        return replace(row, hidden="")
    return row


DRAFT = Draft(
    sheet="reading", stop_id="stop-1", row_id="reading-9", fields={"rsrp": "-8"}, focus="rsrp"
)

GROUND = Ground(
    streets=(Street(name="Mill Street", kind="residential",
                    points_deg=((60.17, 24.94), (60.1712345, 24.9412345))),),
    buildings=(
        Building(
            outline_deg=((60.1701, 24.9401), (60.1702, 24.9401), (60.1702, 24.9403),
                         (60.1701, 24.9401)),
            holes_deg=(((60.17012, 24.94012), (60.17014, 24.94012), (60.17014, 24.94016),
                        (60.17012, 24.94012)),),
            height_m=12.5, name="Old mill",
        ),
        Building(outline_deg=((60.171, 24.942), (60.1711, 24.942), (60.1711, 24.9421),
                              (60.171, 24.942))),
    ),
    furniture=(Furniture(kind=FurnitureKind.LAMP, lat_deg=60.1703, lon_deg=24.9404),),
    attribution="Invented ground for tests",
)  # fmt: skip
