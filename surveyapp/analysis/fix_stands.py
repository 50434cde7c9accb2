"""Where to sight a site from next, so that its fix shrinks most.

A sighting adds information across its line of sight (geometry/sightings.py); where it would
be taken decides in which direction, and how much. The expected ellipse supposes one sighting
as good as a compass gives, from a place as well known as a phone among houses knows it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.candidates import UNKNOWN_POSITION_SIGMA_M
from surveyapp.analysis.sector_panel import BoolArray, FloatArray, SectorPanel
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.stand import MOST_STANDS, Stand, best_apart, stand_at
from surveyapp.analysis.standing_places import StandingPlaces
from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import COMPASS_SIGMA_DEG, rays_of
from surveyapp.geometry.fix_likelihood import descend, spread
from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.places import StreetIndex
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.sightings import CHI_SQUARE_95, Bearing, ellipse, fix
from surveyapp.geometry.smoothing import normal_nodes
from surveyapp.model import LatLon

NEAREST_M, FARTHEST_M = 15.0, 150.0  # nearer the phone's own position spoils a bearing
LEAST_GAIN = 0.05  # a sighting that shrinks the ellipse by less is not worth the walk


@dataclass(frozen=True, kw_only=True, slots=True)
class Ellipse:
    """A 95 % ellipse: its half axes and the azimuth of the longer one."""

    major_m: float
    minor_m: float
    azimuth_deg: float


@dataclass(frozen=True, kw_only=True, slots=True)
class FixStand:
    """A place to sight a site from, with the ellipse before and the one to expect after."""

    stand: Stand
    before: Ellipse
    after: Ellipse
    bearing_deg: float
    distance_m: float

    @property
    def shrinks(self) -> bool:
        """Whether the ellipse gets smaller by enough to be worth the walk."""
        return self.after.major_m < (1.0 - LEAST_GAIN) * self.before.major_m


def fix_stands(
    bearings: Sequence[Bearing],
    places: StandingPlaces,
    streets: StreetIndex,
    *,
    roofs: Roofs | None = None,
    height_m: float = 8.0,
    rough_deg: LatLon | None = None,
    rough_sigma_m: float = 30.0,
    most: int = MOST_STANDS,
) -> tuple[FixStand, ...]:
    """Up to `most` places in view of the site, the one that shrinks its fix most first.

    Where the bearings alone give no fix, `rough_deg` says about where the site is, to
    `rough_sigma_m`. A site nobody sighted yet is given places even where a sighting shrinks
    nothing: it checks what was noted. Raises NoAnswer where nothing tells where the site is,
    and where no place would help.
    """
    known = _so_far(bearings, rough_deg, rough_sigma_m)
    target = np.array(places.plane.to_plane(*known.at_deg))
    offset = np.column_stack([places.east_m, places.north_m]) - target
    after = np.linalg.inv(np.linalg.inv(known.covariance_m2) + _information(offset))
    worth = -np.sqrt(np.linalg.eigvalsh(after)[:, -1])
    worth[~in_view(places, known.at_deg, height_m, roofs)] = -np.inf
    before = _as_ellipse(known.covariance_m2)
    found = [
        FixStand(
            stand=stand_at(places, index, streets),
            before=before,
            after=known.after(places.at(index)),
            bearing_deg=(line := inverse(*places.at(index), *known.at_deg)).azimuth_deg,
            distance_m=line.distance_m,
        )
        for index in best_apart(places, worth, 2 * most)
    ]
    if not found:
        raise NoAnswer(
            f"No place nearby has it in view from {NEAREST_M:.0f} to {FARTHEST_M:.0f} m: "
            "look from farther off, or stand beneath the site."
        )
    if bearings:
        found = [one for one in found if one.shrinks]
    if not found:
        raise NoAnswer(
            "No place on the streets nearby would shrink this fix: "
            "take more care with each sighting, or stand beneath the site."
        )
    return tuple(sorted(found, key=lambda one: one.after.major_m)[:most])


def in_view(
    places: StandingPlaces, site_deg: LatLon, height_m: float, roofs: Roofs | None
) -> BoolArray:
    """Which places are neither too near nor too far to sight a site, and have it in view."""
    target = np.array(places.plane.to_plane(*site_deg))
    away = np.hypot(places.east_m - target[0], places.north_m - target[1])
    usable = (away >= NEAREST_M) & (away <= FARTHEST_M)
    if roofs is not None:
        eye = SectorPanel(name="the site", lat_deg=site_deg[0], lon_deg=site_deg[1],
                          azimuth_deg=None, height_m=height_m)  # fmt: skip
        usable[usable] = roofs.clear_from(
            eye, places.plane, places.east_m[usable], places.north_m[usable]
        )
    return np.asarray(usable)


def sighting_from(place_deg: LatLon, site_deg: LatLon) -> Bearing:
    """The sighting to expect from a place: exact, with the usual sigmas."""
    return Bearing(
        *place_deg,
        inverse(*place_deg, *site_deg).azimuth_deg,
        sigma_deg=COMPASS_SIGMA_DEG,
        position_sigma_m=UNKNOWN_POSITION_SIGMA_M,
    )


@dataclass(frozen=True, slots=True)
class _Known:
    """Where a site is as far as is known: its likely place, and the covariance (2, 2) of that.

    `bearings` are those a fix was made of, None where the place is only roughly known.
    """

    at_deg: LatLon
    covariance_m2: FloatArray
    bearings: tuple[Bearing, ...] | None

    def after(self, place_deg: LatLon) -> Ellipse:
        """The ellipse to expect after one sighting from a place.

        The site may stand anywhere within what is known of it, so the ellipse is meaned over
        places where it may be (Gauss-Hermite nodes along both axes of that).
        """
        plane = Plane(*self.at_deg)
        nodes, weights = self._may_be()
        spreads = [self._once_seen(plane, place_deg, node) for node in nodes]
        axes = np.array([ellipse(one, CHI_SQUARE_95)[:2] for one in spreads])
        mean = np.einsum("k,kij->ij", weights, np.array(spreads))
        major_m, minor_m = (weights @ axes).tolist()
        azimuth_deg = ellipse(mean, CHI_SQUARE_95)[2]
        return Ellipse(major_m=major_m, minor_m=minor_m, azimuth_deg=azimuth_deg)

    def _may_be(self) -> tuple[FloatArray, FloatArray]:
        """Offsets (k, 2) in metres at which the site may stand, and their weights (k).

        A flat crossing leaves a longer tail than a normal distribution has, so the nodes are
        weighed by the likelihood of the sightings themselves.
        """
        size, axes = np.linalg.eigh(self.covariance_m2)
        (short, short_weight), (long, long_weight) = normal_nodes(3), normal_nodes(9)
        steps = np.stack(np.meshgrid(short, long, indexing="ij"), axis=-1).reshape(-1, 2)
        offset = steps * np.sqrt(size) @ axes.T
        weight = np.outer(short_weight, long_weight).ravel()
        if self.bearings is not None:
            rays = rays_of(Plane(*self.at_deg), self.bearings)
            excess = rays.deviance(offset) - rays.deviance(np.zeros(2))
            weight = weight * np.exp(0.5 * (np.sum(steps**2, axis=1) - excess))
        return offset, weight / weight.sum()

    def _once_seen(self, plane: Plane, place_deg: LatLon, site_m: FloatArray) -> FloatArray:
        """Covariance (2, 2) once the site was sighted where it stands at `site_m`."""
        lat_deg, lon_deg = (float(value) for value in plane.to_world(*site_m))
        sighting = sighting_from(place_deg, (lat_deg, lon_deg))
        if self.bearings is not None:
            rays = rays_of(plane, [*self.bearings, sighting])
            return spread(rays, descend(rays, site_m))
        added = rays_of(plane, [sighting]).information(site_m)
        return np.asarray(np.linalg.inv(np.linalg.inv(self.covariance_m2) + added))


def _so_far(bearings: Sequence[Bearing], rough_deg: LatLon | None, rough_sigma_m: float) -> _Known:
    """What the bearings tell, else what is known roughly with what they add to it."""
    try:
        found = fix(bearings)
    except NoAnswer:
        if rough_deg is None:
            raise
        prior = np.eye(2) / rough_sigma_m**2
        if bearings:
            prior = prior + rays_of(Plane(*rough_deg), bearings).information(np.zeros(2))
        return _Known(rough_deg, np.asarray(np.linalg.inv(prior), dtype=np.float64), None)
    kept = tuple(one for index, one in enumerate(bearings) if index not in found.outliers)
    return _Known((found.lat_deg, found.lon_deg), np.array(found.covariance_m2), kept)


def _information(offset_m: FloatArray) -> FloatArray:
    """Information (n, 2, 2) of a sighting from each place, its offset (n, 2) from the site."""
    distance2 = np.maximum(np.sum(offset_m**2, axis=1), 1.0)
    across = np.column_stack([offset_m[:, 1], -offset_m[:, 0]])
    sigma2 = math.radians(COMPASS_SIGMA_DEG) ** 2 + UNKNOWN_POSITION_SIGMA_M**2 / distance2
    weight = 1.0 / (sigma2 * distance2**2)
    return np.asarray(weight[:, None, None] * across[:, :, None] * across[:, None, :])


def _as_ellipse(covariance_m2: FloatArray) -> Ellipse:
    major_m, minor_m, azimuth_deg = ellipse(covariance_m2, CHI_SQUARE_95)
    return Ellipse(major_m=major_m, minor_m=minor_m, azimuth_deg=azimuth_deg)
