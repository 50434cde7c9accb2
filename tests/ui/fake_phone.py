"""A phone's sensors as scripts, for the screen tests. Places and levels are invented."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from io import BytesIO

from PIL import Image

from surveyapp.model import (
    Carrier,
    HeadingSample,
    Mode,
    Picture,
    PositionSample,
    Rat,
    Role,
    TiltSample,
)
from surveyapp.sensors import android
from surveyapp.sensors.camera import FakeCamera
from surveyapp.sensors.heading import FakeHeading
from surveyapp.sensors.machine import Sensors
from surveyapp.sensors.permissions import FixedPermissions
from surveyapp.sensors.phone_radio import FakePhoneRadio, RadioReport
from surveyapp.sensors.position import FakePosition
from surveyapp.sensors.tilt import FakeTilt

NOW = datetime(2026, 6, 10, 9, 30, tzinfo=UTC)
PLACE_DEG = (60.1662, 24.9400)
# Earth's field there by the World Magnetic Model 2025, rounded: north and down, microtesla
NORTH_UT, DOWN_UT = 15.0, 50.6
REPORT = RadioReport(
    mode=Mode.NSA,
    carriers=(
        Carrier(band="n258", channel=2_079_167, pci=101, rsrp_dbm=-88.0, sinr_db=12.0),
        Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="B20", bandwidth_mhz=10.0, rsrp_dbm=-99.0),
    ),
    age_s=2.0,
    left_out=("5G RSRQ 99 cannot be: -43 to 20",),
)


def positions(count: int = 6) -> list[list[PositionSample]]:
    """One sample a second, good to 5 m, a metre or so apart."""
    lat_deg, lon_deg = PLACE_DEG
    return [
        [
            PositionSample(
                time_utc=NOW - timedelta(seconds=count - nth),
                lat_deg=lat_deg + 1e-5 * math.sin(nth),
                lon_deg=lon_deg + 1e-5 * math.cos(nth),
                accuracy_m=5.0,
                fix_utc=NOW - timedelta(seconds=count - nth),
            )
        ]
        for nth in range(count)
    ]


def headings(magnetic_deg: float, count: int = 20) -> list[list[HeadingSample]]:
    """A phone lying flat, its top edge towards `magnetic_deg`."""
    turn = math.radians(magnetic_deg)
    return [
        [
            HeadingSample(
                time_utc=NOW + timedelta(seconds=nth / 10),
                field_ut=(
                    -math.sin(turn) * NORTH_UT + nth % 2 * 0.1,
                    math.cos(turn) * NORTH_UT,
                    -DOWN_UT,
                ),
                gravity_m_s2=(0.0, 0.0, 9.81),
            )
        ]
        for nth in range(count)
    ]


def tilts(elevation_deg: float, count: int = 20) -> list[list[TiltSample]]:
    """A phone held up, its camera raised by `elevation_deg`."""
    raised = math.radians(elevation_deg)
    return [
        [
            TiltSample(
                time_utc=NOW + timedelta(seconds=nth / 10),
                gravity_m_s2=(
                    nth % 2 * 0.01,
                    9.81 * math.cos(raised),
                    -9.81 * math.sin(raised),
                ),
            )
        ]
        for nth in range(count)
    ]


def picture() -> Picture:
    """What the camera hands over."""
    file = BytesIO()
    Image.new("RGB", (64, 48), "gray").save(file, "JPEG")
    return Picture(time_utc=NOW, content=file.getvalue())


class CarefulPosition(FakePosition):
    """A receiver that needs leave, as Android's does."""

    permissions = android.LOCATION


def phone(grants: bool = True) -> Sensors:
    """All sensors, each with something to say."""
    return Sensors(
        position=CarefulPosition(positions()),
        heading=FakeHeading(headings(90.0)),
        tilt=FakeTilt(tilts(20.0)),
        camera=FakeCamera([[picture()]]),
        phone_radio=FakePhoneRadio(REPORT),
        permissions=FixedPermissions(grants),
    )
