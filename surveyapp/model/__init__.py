"""What the notebook holds, as plain dataclasses.

Units stand in the field names: `_deg` degrees (azimuths and bearings clockwise from true
north), `_m` metres, `_mhz`, `_db`, `_dbm`, `_mbps`, `_ms`, `_pct`. Positions are WGS84,
times are timezone-aware UTC. `None` means 'not recorded', never zero.

Rows are immutable: change one with `dataclasses.replace` and hand it to the store, which
stamps `created_utc`, `changed_utc` and `deleted_utc`.

`kinds` are the choices, `carriers` and `rows` what is entered, `draft` what is half typed,
`samples` what sensors hand over, `ground` the streets, `scene` one stop with all around it.
All are imported from here, whatever file holds them.
"""

from surveyapp.model.carriers import Carrier, SectorCarrier
from surveyapp.model.draft import Draft
from surveyapp.model.ground import Building, Furniture, FurnitureKind, Ground, LatLon, Street
from surveyapp.model.kinds import (
    CheckedAgainst,
    Mode,
    NorthReference,
    PositionFrom,
    Rat,
    RemarkKind,
    Role,
    SiteKind,
    SiteStatus,
    Source,
    Streams,
    View,
    Weather,
)
from surveyapp.model.rows import (
    CompassCheck,
    Device,
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
    Survey,
    new_id,
)
from surveyapp.model.samples import HeadingSample, Picture, PositionSample, TiltSample, Vector
from surveyapp.model.scene import StopScene

__all__ = [
    "Building",
    "Carrier",
    "CheckedAgainst",
    "CompassCheck",
    "Device",
    "Draft",
    "Furniture",
    "FurnitureKind",
    "Ground",
    "HeadingSample",
    "LatLon",
    "Mode",
    "NorthReference",
    "Photo",
    "Picture",
    "PositionFrom",
    "PositionSample",
    "Preparation",
    "Rat",
    "Reading",
    "Remark",
    "RemarkKind",
    "Role",
    "Row",
    "Sector",
    "SectorCarrier",
    "Sighting",
    "Site",
    "SiteKind",
    "SiteStatus",
    "Source",
    "SpeedRun",
    "Stop",
    "StopScene",
    "Streams",
    "Street",
    "Survey",
    "TiltSample",
    "Vector",
    "View",
    "Weather",
    "new_id",
]
