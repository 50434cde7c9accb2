"""What the notebook holds, as plain dataclasses.

Units stand in the field names: `_deg` degrees (azimuths and bearings clockwise from true
north), `_m` metres, `_mhz`, `_db`, `_dbm`, `_mbps`, `_ms`, `_pct`. Positions are WGS84,
times are timezone-aware UTC. `None` means 'not recorded', never zero.

Rows are immutable: change one with `dataclasses.replace` and hand it to the store, which
stamps `created_utc`, `changed_utc` and `deleted_utc`.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum


def new_id() -> str:
    """A fresh random row identity (RFC 9562 UUID, version 4)."""
    return str(uuid.uuid4())


class Weather(StrEnum):
    """Weather of a survey, as far as it matters to the radio path."""

    DRY = "dry"
    LIGHT_RAIN = "light rain"
    HEAVY_RAIN = "heavy rain"


class SiteKind(StrEnum):
    """What an installation is mounted on."""

    LAMP_POST = "lamp post"
    TRAFFIC_SIGNAL = "traffic signal"
    WALL = "wall"
    ROOF = "roof"
    POLE = "pole"
    STRAND = "strand"
    OTHER = "other"
    LANDMARK = "landmark"  # no installation: something seen from afar, to check a compass against


class SiteStatus(StrEnum):
    """How far a site is known: only heard of, seen, on air, silent, or taken down."""

    LEAD = "lead"
    SEEN = "seen"
    LIVE = "live"
    DARK = "dark"
    GONE = "gone"


class PositionFrom(StrEnum):
    """Where a position comes from."""

    STOOD_BENEATH = "stood beneath"
    SIGHTINGS = "sightings"
    PLAN = "plan"
    RECORD = "record"
    SENSOR = "sensor"
    TYPED = "typed"


class View(StrEnum):
    """How freely a site is seen from a stop."""

    CLEAR = "clear"
    PARTLY = "partly"
    BLOCKED = "blocked"


class NorthReference(StrEnum):
    """What a bearing was read against."""

    MAGNETIC = "magnetic"
    TRUE = "true"


class Mode(StrEnum):
    """How a phone is connected."""

    NSA = "5G NSA"
    SA = "5G SA"
    LTE = "LTE"
    OTHER = "other"


class Source(StrEnum):
    """How a reading came into the notebook: number pad, one line of text, or the phone."""

    TYPED = "typed"
    LINE = "line"
    PHONE = "phone"


class Role(StrEnum):
    """Part of a carrier in a reading."""

    PRIMARY = "primary"
    SECONDARY = "secondary"
    ANCHOR = "anchor"


class Rat(StrEnum):
    """Radio access technology of a carrier."""

    NR = "NR"
    LTE = "LTE"


class Streams(StrEnum):
    """Whether a speed run used many parallel streams or one."""

    MANY = "many"
    ONE = "one"


class RemarkKind(StrEnum):
    """What a remark is about."""

    LOST_5G = "lost 5G"
    RADIO_RESET = "radio reset"
    OBSTRUCTION = "obstruction"
    TRAFFIC = "traffic"
    WEATHER = "weather"
    OTHER = "other"


class CheckedAgainst(StrEnum):
    """What a compass was checked against."""

    SITE = "a site"
    PLAN = "a point on the plan"
    BEARING = "a known bearing"


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
class SectorCarrier:
    """One kind of carrier on a sector; `count` carriers of equal width side by side.

    `pci` is that of this cell where it differs from the sector's own.
    """

    rat: Rat = Rat.NR
    band: str = ""
    channel: int | None = None
    mhz: float | None = None
    bandwidth_mhz: float | None = None
    count: int = 1
    pci: int | None = None


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
class Carrier:
    """One kind of carrier a phone reports; `count` carriers of equal width side by side."""

    role: Role = Role.PRIMARY
    rat: Rat = Rat.NR
    band: str = ""
    channel: int | None = None
    mhz: float | None = None
    bandwidth_mhz: float | None = None
    count: int = 1
    pci: int | None = None
    rsrp_dbm: float | None = None
    rsrq_db: float | None = None
    sinr_db: float | None = None


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """A half-typed entry sheet, as it stood at the last keystroke.

    `sheet` names the sheet ('reading', 'site', ...), `row_id` the row under edit if any,
    `fields` holds what was typed, as typed, and `focus` the field that had the cursor.
    """

    sheet: str
    stop_id: str | None = None
    row_id: str | None = None
    fields: dict[str, str] = field(default_factory=dict)
    focus: str = ""


Vector = tuple[float, float, float]
"""Along a phone's axes: to its right edge, to its top edge, out of its screen."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PositionSample:
    """One position of the phone's receiver, as it came; nothing in it is to be trusted yet.

    `time_utc` is this program's clock when it came, `fix_utc` the receiver's own time, and
    `accuracy_m` the radius that holds the true place in 68 % (Android, Location.getAccuracy).
    """

    time_utc: datetime
    lat_deg: float
    lon_deg: float
    accuracy_m: float | None = None
    height_m: float | None = None
    fix_utc: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class HeadingSample:
    """Magnetic field in microtesla, and the push against gravity in m/s2 (upwards at rest)."""

    time_utc: datetime
    field_ut: Vector
    gravity_m_s2: Vector


@dataclass(frozen=True, kw_only=True, slots=True)
class TiltSample:
    """The push against gravity in m/s2 (upwards at rest)."""

    time_utc: datetime
    gravity_m_s2: Vector


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture as the camera handed it over: the bytes of its file."""

    time_utc: datetime
    content: bytes


class FurnitureKind(StrEnum):
    """Street furniture a node may stand on or hide behind."""

    LAMP = "lamp"
    SIGNAL = "signal"
    POLE = "pole"
    TREE = "tree"


LatLon = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Street:
    """A street or path of the ground; `kind` is its OpenStreetMap highway value."""

    name: str = ""
    kind: str = ""
    points_deg: tuple[LatLon, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Building:
    """A building of the ground. Rings are closed: the first point is repeated at the end.

    `height_m` is None where the data state neither a height nor a number of levels.
    """

    outline_deg: tuple[LatLon, ...]
    holes_deg: tuple[tuple[LatLon, ...], ...] = ()
    height_m: float | None = None
    name: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Furniture:
    """A lamp, a signal, a pole or a tree of the ground."""

    kind: FurnitureKind
    lat_deg: float
    lon_deg: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Ground:
    """Streets, buildings and furniture of one box, with the attribution they require."""

    streets: tuple[Street, ...] = ()
    buildings: tuple[Building, ...] = ()
    furniture: tuple[Furniture, ...] = ()
    attribution: str = ""


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
