"""Where cover breaks along a way: between two sites, or along a street.

Every place of the way has its own chance of cover; 'continuous at 90 %' is said only where
no place of it falls below 90 %. That all of it is covered at once is less likely than that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.cover_chance import cover_chance
from surveyapp.analysis.level_model import LevelModel
from surveyapp.analysis.sector_fit import MeasuredPlace
from surveyapp.analysis.sector_panel import FloatArray
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.street_network import SAME_PLACE_M, Route, StreetNetwork
from surveyapp.errors import NoAnswer
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.places import StreetIndex
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving_terms import check_range
from surveyapp.model import LatLon

STEP_M = 2.0
REQUIRED = 0.9
BESIDE_M = 20.0  # a stop this near a way tells something about it


@dataclass(frozen=True, kw_only=True, slots=True)
class Gap:
    """A stretch of a way where the chance of cover is too low; metres count along the way."""

    from_m: float
    to_m: float
    lowest_chance: float
    middle_deg: LatLon
    place_text: str

    @property
    def length_m(self) -> float:
        """How long it is."""
        return self.to_m - self.from_m


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredAlong:
    """Somebody's reading beside the way, so far along it."""

    along_m: float
    place: MeasuredPlace
    covered: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class RouteCover:
    """Cover along a way: the modelled chance (k) at `along_m` (k), and apart what was measured.

    `gaps` have less than the required chance, longest first.
    """

    route: Route
    threshold_dbm: float
    required: float
    along_m: FloatArray
    chance: FloatArray
    gaps: tuple[Gap, ...]
    measured: tuple[MeasuredAlong, ...]

    @property
    def continuous(self) -> bool:
        """Whether no place of the way falls below the required chance."""
        return bool(np.all(self.chance >= self.required))

    @property
    def sentence(self) -> str:
        """The finding in one sentence."""
        way = f"{self.route.length_m:.0f} m"
        level = f"{100.0 * self.required:.0f} %"
        if self.continuous:
            return f"Cover is continuous at {level} along all {way}."
        longest = self.gaps[0]
        length = f"{longest.length_m:.0f} m"
        where = f" ({longest.place_text})" if longest.place_text else ""
        if len(self.gaps) == 1:
            return f"One gap (below {level}) of {length} along {way}{where}."
        return f"{len(self.gaps)} gaps below {level} along {way}: the longest, {length}{where}."


def gaps_between(
    network: StreetNetwork,
    start_deg: LatLon,
    end_deg: LatLon,
    models: Sequence[LevelModel],
    threshold_dbm: float,
    *,
    required: float = REQUIRED,
    roofs: Roofs | None = None,
) -> RouteCover:
    """Cover along the shortest way on foot between two sites.

    Raises NoAnswer where both stand at one place or no street connects them, and as
    `gaps_along` does.
    """
    if inverse(*start_deg, *end_deg).distance_m < SAME_PLACE_M:
        raise NoAnswer("Both sites stand at one place, so there is no way between them.")
    route = network.route(start_deg, end_deg)
    return gaps_along(network, route, models, threshold_dbm, required=required, roofs=roofs)


def gaps_along(
    network: StreetNetwork,
    route: Route,
    models: Sequence[LevelModel],
    threshold_dbm: float,
    *,
    required: float = REQUIRED,
    roofs: Roofs | None = None,
) -> RouteCover:
    """Cover along a way by any of the models, houses in the way counted where `roofs` is given.

    Raises NoAnswer without a model, OutOfRange for a threshold or a chance that cannot be.
    """
    check_range(required, 0.01, 0.99, "required chance", "", "cover")
    plane = network.plane
    steps = np.linspace(0.0, route.length_m, max(2, int(route.length_m / STEP_M) + 2))
    along = np.unique(np.concatenate([steps, route.along_m]))
    places = route.at(along)
    east, north = plane.to_plane(places[:, 0], places[:, 1])
    sight = (
        None if roofs is None else [roofs.clear_from(m.panel, plane, east, north) for m in models]
    )
    chance = cover_chance(models, plane, east, north, threshold_dbm, sight)
    index = StreetIndex(network.streets)
    gaps = [
        _gap(route, along, chance, first, last, index)
        for first, last in _stretches(along, chance, required)
    ]
    return RouteCover(
        route=route,
        threshold_dbm=threshold_dbm,
        required=required,
        along_m=along,
        chance=chance,
        gaps=tuple(sorted(gaps, key=lambda gap: -gap.length_m)),
        measured=_beside(models, plane, along, np.column_stack([east, north]), threshold_dbm),
    )


def _stretches(
    along_m: FloatArray, chance: FloatArray, required: float
) -> list[tuple[float, float]]:
    """Where the chance lies below what is required, its ends by straight lines between places."""
    low = chance < required
    turns = np.flatnonzero(low[1:] != low[:-1])
    share = (required - chance[turns]) / (chance[turns + 1] - chance[turns])
    at = (along_m[turns] + share * (along_m[turns + 1] - along_m[turns])).tolist()
    ends = ([float(along_m[0])] if low[0] else []) + at + ([float(along_m[-1])] if low[-1] else [])
    return list(zip(ends[::2], ends[1::2], strict=True))


def _gap(
    route: Route,
    along_m: FloatArray,
    chance: FloatArray,
    first_m: float,
    last_m: float,
    index: StreetIndex,
) -> Gap:
    middle = route.at(np.array(0.5 * (first_m + last_m)))
    lat_deg, lon_deg = float(middle[0]), float(middle[1])
    inside = (along_m >= first_m) & (along_m <= last_m)
    ends = np.interp([first_m, last_m], along_m, chance)
    return Gap(
        from_m=first_m,
        to_m=last_m,
        lowest_chance=float(min(*ends, *chance[inside])),
        middle_deg=(lat_deg, lon_deg),
        place_text=index.place_text(lat_deg, lon_deg),
    )


def _beside(
    models: Sequence[LevelModel],
    plane: Plane,
    along_m: FloatArray,
    places_m: FloatArray,
    threshold_dbm: float,
) -> tuple[MeasuredAlong, ...]:
    """Readings that fits were made from, near the way, in the order of the way."""
    found = []
    for model in models:
        for place in getattr(model, "measured", ()):
            point = np.array(plane.to_plane(place.lat_deg, place.lon_deg))
            off = np.hypot(*(places_m - point).T)
            nearest = int(np.argmin(off))
            if off[nearest] <= BESIDE_M:
                covered = place.rsrp_dbm >= threshold_dbm
                found.append(
                    MeasuredAlong(along_m=float(along_m[nearest]), place=place, covered=covered)
                )
    return tuple(sorted(found, key=lambda one: one.along_m))
