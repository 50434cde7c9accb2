"""A place proposed to stand at, and how the best few of many are chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.analysis.standing_places import StandingPlaces
from surveyapp.geometry.places import StreetIndex

MOST_STANDS = 3
APART_M = 30.0  # proposals nearer to each other than this are one


@dataclass(frozen=True, kw_only=True, slots=True)
class Stand:
    """A place to stand at, and how far it is on foot; `place_text` is '' off named streets.

    Where it is not `on_streets` the ground holds none: the walk is a straight line, and
    whether one may stand there is unknown.
    """

    lat_deg: float
    lon_deg: float
    walk_m: float
    place_text: str
    on_streets: bool = True


def stand_at(places: StandingPlaces, index: int, streets: StreetIndex) -> Stand:
    """One of the places, told by its streets."""
    lat_deg, lon_deg = places.at(index)
    return Stand(
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        walk_m=float(places.walk_m[index]),
        place_text=streets.place_text(lat_deg, lon_deg),
        on_streets=places.on_streets,
    )


def best_apart(places: StandingPlaces, worth: FloatArray, most: int = MOST_STANDS) -> Sequence[int]:
    """Indexes of the places of highest finite worth, each APART_M or more from those before.

    Of places worth the same (within a hundredth), the one nearest on foot.
    """
    finite = np.isfinite(worth)
    largest = float(np.max(np.abs(worth[finite]), initial=1e-12))
    about_equal = np.where(finite, np.round(np.where(finite, worth, 0.0) / largest, 2), -np.inf)
    order = np.lexsort((places.walk_m, -about_equal))
    chosen: list[int] = []
    for index in order.tolist():
        if len(chosen) == most or not np.isfinite(worth[index]):
            break
        if all(
            np.hypot(
                places.east_m[index] - places.east_m[other],
                places.north_m[index] - places.north_m[other],
            )
            >= APART_M
            for other in chosen
        ):
            chosen.append(index)
    return chosen
