"""The choices an entry offers: kinds, states, roles; each value is the word that is shown."""

from __future__ import annotations

from enum import StrEnum


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
