"""The survey's time zone, and UTC where its name is not known on this machine."""

from __future__ import annotations

from datetime import UTC, tzinfo
from zoneinfo import ZoneInfo


def zone_of(name: str) -> tzinfo:
    """The zone of an IANA name."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, LookupError):
        return UTC
