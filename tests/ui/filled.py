"""A notebook with something of everything in it, written without the screen. All invented."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from io import BytesIO
from pathlib import Path

from PIL import Image

from surveyapp.model import (
    Carrier,
    Device,
    Mode,
    NorthReference,
    PositionFrom,
    Rat,
    Reading,
    Remark,
    RemarkKind,
    Role,
    Sector,
    SectorCarrier,
    Sighting,
    Site,
    SiteKind,
    SiteStatus,
    SpeedRun,
    Stop,
    Survey,
    View,
)
from surveyapp.store.keeping import photo_folder_of
from surveyapp.store.notebook import Notebook

NOW = datetime(2026, 6, 10, 9, 30, tzinfo=UTC)
PLACE_DEG = (60.1662, 24.9400)


def write(path: Path) -> Path:
    """A full notebook at `path`, its cautions read: a copy of one that is written once."""
    written = _written()
    shutil.copy(written, path)
    shutil.copytree(photo_folder_of(written), photo_folder_of(path))
    return path


@cache
def _written() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="full-notebook-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    path = folder / "full.notebook"
    with Notebook.create(path, clock=lambda: NOW) as notebook:
        notebook.keep_setting("cautions_read", True)
        survey = Survey(title="Harbour side, first visit", time_zone="Europe/Helsinki")
        stops = [_stop(survey, number) for number in (1, 2, 3)]
        notebook.save(survey, *stops, *_sites(), *_phones())
        for stop in stops:
            notebook.save(*_entries(notebook, stop))
        picture = BytesIO()
        Image.new("RGB", (64, 48), "gray").save(picture, "PNG")
        notebook.add_photo(
            picture.getvalue(), survey_id=survey.id, stop_id=stops[-1].id, time_utc=NOW,
            direction_deg=12.0, direction_reference=NorthReference.TRUE,
            caption="The south panel behind the lime tree",
        )  # fmt: skip
    return path


def _stop(survey: Survey, number: int) -> Stop:
    lat_deg, lon_deg = PLACE_DEG
    return Stop(
        survey_id=survey.id,
        number=number,
        time_utc=NOW + timedelta(minutes=10 * number),
        lat_deg=lat_deg - 0.0004 * (3 - number),
        lon_deg=lon_deg,
        position_sigma_m=8.0,
        position_from=PositionFrom.TYPED,
        place_text="Mill Street, between Quay Street and Dock Lane",
    )


def _sites() -> list[Site | Sector]:
    lat_deg, lon_deg = PLACE_DEG
    near = Site(
        name="Mill Street 3", operator="Northern Radio", kind=SiteKind.LAMP_POST,
        status=SiteStatus.LIVE, lat_deg=lat_deg + 0.0005, lon_deg=lon_deg, height_m=8.0,
        position_sigma_m=4.0, position_from=PositionFrom.STOOD_BENEATH,
    )  # fmt: skip
    far = Site(
        name="Corner of Dock Lane and Ropemaker Street", operator="Northern Radio",
        kind=SiteKind.WALL, status=SiteStatus.SEEN, lat_deg=lat_deg - 0.0012,
        lon_deg=lon_deg + 0.002, height_m=11.0,
    )  # fmt: skip
    carriers = (
        SectorCarrier(band="n258", bandwidth_mhz=100.0, count=4),
        SectorCarrier(rat=Rat.LTE, band="B20", bandwidth_mhz=10.0),
    )
    panels = [
        Sector(site_id=near.id, label="South", azimuth_deg=180.0, pci=101, carriers=carriers),
        Sector(site_id=near.id, label="North", azimuth_deg=0.0, pci=102, carriers=carriers),
        Sector(site_id=far.id, label="Northwest", azimuth_deg=315.0, pci=201, carriers=carriers),
        Sector(site_id=far.id, label="East", azimuth_deg=90.0, carriers=carriers),
    ]
    return [near, far, *panels]


def _phones() -> list[Device]:
    return [
        Device(label="Phone A", model="A handset", operator="Northern Radio"),
        Device(label="Phone B", model="Another handset", operator="Northern Radio"),
    ]


def _entries(notebook: Notebook, stop: Stop) -> list:
    site = notebook.all(Site, name="Mill Street 3")[0]
    rows: list = [
        Sighting(
            stop_id=stop.id, site_id=site.id, raw_bearing_deg=351.0, bearing_deg=1.4,
            declination_deg=10.4, raw_reference=NorthReference.MAGNETIC, view=View.PARTLY,
            facing_deg=-45.0, distance_m=56.0,
        )
    ]  # fmt: skip
    for nth, phone in enumerate(notebook.all(Device)):
        reading = _reading(stop, phone, nth)
        rows.append(reading)
        rows += [_run(stop, phone, reading, number) for number in (0, 1)]
    remark = Remark(stop_id=stop.id, time_utc=NOW, kind=RemarkKind.LOST_5G)
    rows.append(remark)
    said = "A tall lorry stood in the beam while Phone B ran its second test"
    rows.append(replace(remark, id=f"{remark.id}-2", kind=RemarkKind.OBSTRUCTION, text=said))
    return rows


def _reading(stop: Stop, phone: Device, nth: int) -> Reading:
    carriers = (
        Carrier(
            band="n258", bandwidth_mhz=100.0, count=4, pci=101,
            rsrp_dbm=-86.0 - nth, rsrq_db=-12.5, sinr_db=14.0,
        ),
        Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="B20", bandwidth_mhz=10.0, rsrp_dbm=-101.0),
    )  # fmt: skip
    return Reading(
        stop_id=stop.id, device_id=phone.id, time_utc=NOW, mode=Mode.NSA, carriers=carriers
    )


def _run(stop: Stop, phone: Device, reading: Reading, number: int) -> SpeedRun:
    return SpeedRun(
        stop_id=stop.id, device_id=phone.id, reading_id=reading.id, time_utc=NOW,
        down_mbps=1480.0 - 90 * number, up_mbps=96.0, ping_ms=17.0, jitter_ms=2.4, loss_pct=0.0,
        server_place="Turku",
    )  # fmt: skip
