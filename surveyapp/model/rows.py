"""Every kind of row of the notebook, and what all of them have."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import datetime

from surveyapp.model.carriers import Carrier, SectorCarrier
from surveyapp.model.kinds import (
    CheckedAgainst,
    Mode,
    NorthReference,
    PositionFrom,
    RemarkKind,
    SiteKind,
    SiteStatus,
    Source,
    Streams,
    View,
    Weather,
)


def new_id() -> str:
    """A fresh random row identity (RFC 9562 UUID, version 4)."""
    return str(uuid.uuid4())


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """What every row of the notebook has; the three stamps are set by the store."""

    id: str = field(default_factory=new_id)
    created_utc: datetime | None = None
    changed_utc: datetime | None = None
    deleted_utc: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Survey(Row):
    """One outing: a day, or part of one. `time_zone` is an IANA name.

    `hidden` tells in words what was hidden in this copy before it was given away, '' where
    nothing was: a copy and the survey it was made from never become one again.
    """

    title: str
    time_zone: str = "UTC"
    place_text: str = ""
    weather: Weather | None = None
    rain_mm_h: float | None = None
    purpose: str = ""
    text: str = ""
    hidden: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Site(Row):
    """An installation. `height_m` is that of the antennas above the street."""

    name: str
    operator: str = ""
    kind: SiteKind = SiteKind.OTHER
    status: SiteStatus = SiteStatus.SEEN
    lat_deg: float | None = None
    lon_deg: float | None = None
    position_sigma_m: float | None = None
    position_from: PositionFrom | None = None
    height_m: float | None = None
    text: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sector(Row):
    """One panel of a site. `eirp_dbm` is the whole carrier's, at the peak of the beam."""

    site_id: str
    label: str = ""
    azimuth_deg: float | None = None
    azimuth_sigma_deg: float | None = None
    beamwidth_deg: float | None = None
    downtilt_deg: float | None = None
    height_m: float | None = None
    eirp_dbm: float | None = None
    pci: int | None = None
    carriers: tuple[SectorCarrier, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Device(Row):
    """A phone used for readings."""

    label: str
    model: str = ""
    modem: str = ""
    system: str = ""
    operator: str = ""
    text: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop(Row):
    """A place where the surveyor stands still. `number` counts from 1 within its survey."""

    survey_id: str
    number: int
    time_utc: datetime
    lat_deg: float | None = None
    lon_deg: float | None = None
    position_sigma_m: float | None = None
    position_from: PositionFrom | None = None
    place_text: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sighting(Row):
    """A bearing from a stop to a site, or to one of its panels when `sector_id` is given.

    `bearing_deg` is true; `raw_bearing_deg` is as read against `raw_reference`, and
    `declination_deg` what was added to it. `facing_deg` tells how the panel is turned:
    0 it looks straight at me, +45 half turned to my left, -45 half turned to my right,
    +-90 edge on, 180 I see its back. The panel's azimuth is bearing + 180 + facing.
    """

    stop_id: str
    site_id: str
    sector_id: str | None = None
    bearing_deg: float | None = None
    raw_bearing_deg: float | None = None
    raw_reference: NorthReference = NorthReference.MAGNETIC
    declination_deg: float | None = None
    sigma_deg: float | None = None
    elevation_deg: float | None = None
    distance_m: float | None = None
    facing_deg: float | None = None
    view: View | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading(Row):
    """What one phone reports at one moment."""

    stop_id: str
    device_id: str
    time_utc: datetime
    mode: Mode = Mode.NSA
    source: Source = Source.TYPED
    carriers: tuple[Carrier, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class SpeedRun(Row):
    """One throughput test on one phone.

    `together_with` is the id of another run made at the same time on another phone,
    `retransmits` counts the segments its TCP sender sent again.
    """

    stop_id: str
    device_id: str
    time_utc: datetime
    reading_id: str | None = None
    down_mbps: float | None = None
    up_mbps: float | None = None
    ping_ms: float | None = None
    jitter_ms: float | None = None
    loss_pct: float | None = None
    server_place: str = ""
    server_lat_deg: float | None = None
    server_lon_deg: float | None = None
    streams: Streams = Streams.MANY
    together_with: str | None = None
    retransmits: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Photo(Row):
    """A picture; `file` is the name of its file in the notebook's photo folder.

    The name is the SHA-256 of the file's bytes and the suffix, so it proves the content.
    """

    survey_id: str
    stop_id: str | None = None
    file: str
    time_utc: datetime | None = None
    lat_deg: float | None = None
    lon_deg: float | None = None
    direction_deg: float | None = None
    direction_reference: NorthReference | None = None
    caption: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Remark(Row):
    """Something noticed at a stop, in the surveyor's words."""

    stop_id: str
    device_id: str | None = None
    time_utc: datetime
    kind: RemarkKind = RemarkKind.OTHER
    text: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Preparation(Row):
    """What was made sure of on one phone before its runs at a stop.

    Each tick is the time it was made, None where it was not: the radio was reset, the network
    mode looked at, battery and heat looked at, the test server chosen.
    """

    stop_id: str
    device_id: str
    radio_reset_utc: datetime | None = None
    network_mode_utc: datetime | None = None
    battery_and_heat_utc: datetime | None = None
    server_chosen_utc: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class CompassCheck(Row):
    """How far a phone's compass was off: `offset_deg` is to be added to what it shows.

    It counts for this phone, place and day: a case, a car or another street change it.
    """

    survey_id: str
    device_id: str
    time_utc: datetime
    offset_deg: float
    sigma_deg: float | None = None
    checked_against: CheckedAgainst = CheckedAgainst.SITE
