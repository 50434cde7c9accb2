"""A bearing as taken, checked, and many of them brought into one plane."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.errors import NoAnswer, OutOfRange
from surveyapp.geometry.fix_likelihood import FloatArray, Rays
from surveyapp.geometry.geodesy import check_finite, check_position, destination, inverse
from surveyapp.geometry.plan_projection import Plane

COMPASS_SIGMA_DEG = 5.0  # a phone's compass held by hand (common practice: several degrees)
EYE_RANGE_SHARE = 0.2  # a distance judged by eye (common practice: a fifth of it)
FARTHEST_M = 20_000.0  # no street-level site is sighted from farther away
SAME_STOP_M = 0.01


@dataclass(frozen=True, slots=True)
class Bearing:
    """A true bearing from a stop, with sigmas (one standard deviation each).

    `distance_m`, where it was measured or judged, joins the fix; without a sigma of its own
    it counts as judged by eye. Raises InvalidValue or OutOfRange for values of no use.
    """

    lat_deg: float
    lon_deg: float
    bearing_deg: float
    sigma_deg: float = COMPASS_SIGMA_DEG
    position_sigma_m: float = 0.0
    distance_m: float | None = None
    distance_sigma_m: float | None = None

    def __post_init__(self) -> None:
        check_position(self.lat_deg, self.lon_deg)
        _check("bearing", self.bearing_deg, 0.0, math.nextafter(360.0, 0.0), "degrees, below 360")
        _check("sigma of the bearing", self.sigma_deg, 0.01, 60.0, "degrees")
        _check("position sigma", self.position_sigma_m, 0.0, 1000.0, "metres")
        if self.distance_m is not None:
            _check("distance", self.distance_m, 0.1, FARTHEST_M, "metres")
        if self.distance_sigma_m is not None:
            _check("sigma of the distance", self.distance_sigma_m, 0.001, FARTHEST_M, "metres")


def plane_of(bearings: Sequence[Bearing]) -> Plane:
    """A plane about the middle of the stops; raises NoAnswer where they are too far apart."""
    start = (bearings[0].lat_deg, bearings[0].lon_deg)
    rough = Plane(*start)
    lat, lon = _positions(bearings)
    reach_m = [inverse(*start, *at).distance_m for at in zip(lat, lon, strict=True)]
    if max(reach_m) > FARTHEST_M:
        raise NoAnswer(
            f"The stops lie more than {FARTHEST_M / 1000:.0f} km apart, too far to sight one "
            "site: check their positions."
        )
    east, north = rough.to_plane(lat, lon)
    lat0, lon0 = rough.to_world(np.mean(east), np.mean(north))
    return Plane(float(lat0), float(lon0))


def rays_of(plane: Plane, bearings: Sequence[Bearing]) -> Rays:
    """The sightings in the plane."""
    east, north = plane.to_plane(*_positions(bearings))
    variance = np.radians([bearing.sigma_deg for bearing in bearings]) ** 2
    position_variance = np.array([bearing.position_sigma_m for bearing in bearings]) ** 2
    range_sigma = np.array([_range_sigma_m(bearing) for bearing in bearings])
    return Rays(
        east_m=east,
        north_m=north,
        bearing_rad=_grid_bearings(plane, bearings, east, north),
        variance_rad2=variance,
        share=_shares(east, north, variance),
        position_variance_m2=position_variance,
        range_m=np.array([bearing.distance_m or math.nan for bearing in bearings]),
        range_variance_m2=range_sigma**2 + position_variance,
    )


def _positions(bearings: Sequence[Bearing]) -> tuple[list[float], list[float]]:
    return [bearing.lat_deg for bearing in bearings], [bearing.lon_deg for bearing in bearings]


def _grid_bearings(
    plane: Plane, bearings: Sequence[Bearing], east_m: FloatArray, north_m: FloatArray
) -> FloatArray:
    """The bearings against the plane's north, which leans a little away from its centre."""
    ahead = [destination(at.lat_deg, at.lon_deg, at.bearing_deg, 100.0) for at in bearings]
    ahead_east, ahead_north = plane.to_plane(*zip(*ahead, strict=True))
    return np.arctan2(ahead_east - east_m, ahead_north - north_m)


def _range_sigma_m(bearing: Bearing) -> float:
    if bearing.distance_m is None:
        return 1.0
    return bearing.distance_sigma_m or EYE_RANGE_SHARE * bearing.distance_m


def _shares(east_m: FloatArray, north_m: FloatArray, variance: FloatArray) -> FloatArray:
    """What share of its stop's sightings each one is, by its precision."""
    apart = np.hypot(east_m[:, None] - east_m, north_m[:, None] - north_m)
    together = (apart < SAME_STOP_M) @ (1 / variance)
    return np.asarray(1 / variance / together)


def _check(name: str, value: float, low: float, high: float, unit: str) -> None:
    check_finite(value, name, unit)
    if not low <= value <= high:
        raise OutOfRange(
            f"The {name} {value:g} is outside {low:g} to {high:g} {unit}: give one inside.",
            value=value,
            allowed=f"{low:g} to {high:g} {unit}",
        )
