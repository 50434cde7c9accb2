"""Longitudes on both sides of the date line, where 179.9 and -179.9 degrees are neighbours."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from surveyapp.model import LatLon


def unrolled_deg(lon_deg: ArrayLike, about_deg: float) -> NDArray[np.float64]:
    """Longitudes in degrees counted on beyond +-180, each within half a turn of `about_deg`.

    Of such numbers means, medians and extremes may be taken; `rolled_deg` turns them back.
    """
    lon = np.asarray(lon_deg, dtype=np.float64)
    return np.asarray(lon - 360.0 * np.round((lon - about_deg) / 360.0), dtype=np.float64)


def rolled_deg(lon_deg: float) -> float:
    """The same longitude from -180 to +180 degrees; one that is so already stays as it is."""
    lon = float(lon_deg)
    return lon if -180.0 <= lon <= 180.0 else (lon + 180.0) % 360.0 - 180.0


def amid(
    places_deg: Sequence[LatLon] | NDArray[Any], middle: Callable[..., Any] = np.mean
) -> LatLon:
    """The mean of places (n, 2), or another middle of them, also across the date line.

    Latitude and longitude in degrees; right for places within some hundred kilometres.
    """
    lat, lon = np.asarray(places_deg, dtype=np.float64).T
    about_deg = float(lon[0])
    return float(middle(lat)), rolled_deg(float(middle(unrolled_deg(lon, about_deg))))
