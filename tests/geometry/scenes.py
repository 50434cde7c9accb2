"""Sightings of a site whose true position is known, for the geometry tests."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from surveyapp.geometry.geodesy import destination, inverse
from surveyapp.geometry.sightings import Bearing

SITE = (60.1699, 24.9384)


def sighting(azimuth_deg: float, distance_m: float, off_deg: float = 0.0, **more: Any) -> Bearing:
    """The site seen from a stop that lies that way from it, `off_deg` too far clockwise."""
    stop = destination(*SITE, azimuth_deg, distance_m)
    bearing_deg = (inverse(*stop, *SITE).azimuth_deg + off_deg) % 360.0
    return Bearing(*stop, bearing_deg, **more)


def around_site(offs_deg: Sequence[float], **more: Any) -> list[Bearing]:
    """Sightings from all round, 60 to 100 m away, each off by so many degrees."""
    return [
        sighting(20.0 + index * 360.0 / len(offs_deg), 60.0 + 10.0 * (index % 5), off_deg, **more)
        for index, off_deg in enumerate(offs_deg)
    ]
