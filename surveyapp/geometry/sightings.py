"""A fix: where bearings taken from several stops meet, and how well.

Von Mises maximum likelihood (R. V. Lenth, Technometrics 23, 1981, 149-154), each bearing
weighted by its own sigma and by what its stop's position error makes of it at that distance.
The sigmas are given, not estimated, so the 95 % ellipse takes chi-square with 2 degrees of
freedom however few the sightings are. Errors that all bearings share (declination, a compass
that is off everywhere) are not in it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.bearings import Bearing, plane_of, rays_of
from surveyapp.geometry.chi_square import chi_square_survival
from surveyapp.geometry.fix_checks import check_crossing, check_place, check_size
from surveyapp.geometry.fix_likelihood import (
    FloatArray,
    Rays,
    most_likely,
    robust,
    spread,
    standardised,
)
from surveyapp.geometry.geodesy import angle_between_deg, inverse
from surveyapp.geometry.panel_facing import Facing, PanelAzimuth, panel_azimuth

__all__ = ["Bearing", "Facing", "Fix", "PanelAzimuth", "ellipse", "fix", "panel_azimuth"]

CHI_SQUARE_95 = 5.991  # 95 % quantile of chi-square with 2 degrees of freedom
OUTLIER_SIGMAS = 3.0
SUSPICIOUS = 0.01  # agreement below which the sightings are searched for outliers


@dataclass(frozen=True, slots=True)
class Fix:
    """A position with its 95 % ellipse, and how each sighting agrees with it.

    The ellipse has semi-axes in metres and the azimuth of the major one in [0, 180).
    `residuals_deg` are bearing seen less bearing to the fix, clockwise positive, one a
    sighting; `outliers` are indexes of sightings left out. `agreement` is the probability
    that sightings with these sigmas disagree at least as much (chi-square), and None where
    nothing is left over to tell. `covariance_m2` is ((east, both), (both, north)).
    `remarks` are sentences about what weakens the fix.
    """

    lat_deg: float
    lon_deg: float
    ellipse_major_m: float
    ellipse_minor_m: float
    ellipse_azimuth_deg: float
    residuals_deg: tuple[float, ...]
    outliers: tuple[int, ...]
    crossing_deg: float
    agreement: float | None
    covariance_m2: tuple[tuple[float, float], tuple[float, float]]
    remarks: tuple[str, ...]


def fix(bearings: Sequence[Bearing]) -> Fix:
    """The most likely position of what was sighted.

    Raises NoAnswer, with the reason, where the sightings determine none: fewer than two of
    them (unless a distance joins), one stop only, bearings within a few degrees of parallel,
    or ones that meet behind an observer, too far away or nowhere.
    """
    if not bearings:
        raise NoAnswer("There is no sighting: sight the site from two stops.")
    plane = plane_of(bearings)
    rays = rays_of(plane, bearings)
    crossing_deg = check_crossing(rays)
    at = most_likely(rays)
    outliers = _outliers(rays, at)
    kept = [index for index in range(len(bearings)) if index not in outliers]
    if outliers:
        rays = rays_of(plane, [bearings[index] for index in kept])
        crossing_deg = check_crossing(rays)
        at = most_likely(rays)
    check_place(rays, at, kept)
    check_size(rays, at, crossing_deg)
    covariance = spread(rays, at)
    agreement = _agreement(rays, at)
    lat_deg, lon_deg = (float(value) for value in plane.to_world(*at))
    residuals_deg = tuple(_residual_deg(bearing, lat_deg, lon_deg) for bearing in bearings)
    return Fix(
        lat_deg,
        lon_deg,
        *ellipse(covariance, CHI_SQUARE_95),
        residuals_deg=residuals_deg,
        outliers=outliers,
        crossing_deg=crossing_deg,
        agreement=agreement,
        covariance_m2=_as_tuple(covariance),
        remarks=_remarks(residuals_deg, outliers, agreement),
    )


def ellipse(covariance_m2: FloatArray, quantile: float) -> tuple[float, float, float]:
    """Semi-axes in metres, and azimuth of the major one in [0, 180), of a covariance (2, 2)."""
    values, vectors = np.linalg.eigh(covariance_m2)
    minor_m, major_m = np.sqrt(quantile * np.maximum(values, 0.0))
    # The second % turns the 180.0 that a tiny negative angle rounds to into 0.
    azimuth_deg = math.degrees(math.atan2(vectors[0, 1], vectors[1, 1])) % 180.0 % 180.0
    return float(major_m), float(minor_m), azimuth_deg


def _outliers(rays: Rays, at: FloatArray) -> tuple[int, ...]:
    """Indexes of the sightings that Andrews' fit shows to be far off; at most a minority.

    Looked for only where the most likely position `at` leaves a suspicion of one.
    It takes four: of three that disagree, any one may be the wrong one.
    """
    if rays.count < 4:
        return ()
    agreement = _agreement(rays, at)
    suspicious = agreement is not None and agreement < SUSPICIOUS
    if not suspicious and float(np.max(standardised(rays, at))) < OUTLIER_SIGMAS:
        return ()
    off = np.flatnonzero(standardised(rays, robust(rays)) > OUTLIER_SIGMAS)
    if rays.count - off.size < 3 or 2 * off.size >= rays.count:
        return ()
    return tuple(int(index) for index in off)


def _agreement(rays: Rays, at: FloatArray) -> float | None:
    """Probability of at least this much disagreement; None where two observations are all."""
    observations = rays.count + int(np.count_nonzero(np.isfinite(rays.range_m)))
    if observations <= 2:
        return None
    return chi_square_survival(float(rays.deviance(at)), observations - 2)


def _residual_deg(bearing: Bearing, lat_deg: float, lon_deg: float) -> float:
    line = inverse(bearing.lat_deg, bearing.lon_deg, lat_deg, lon_deg)
    return angle_between_deg(line.azimuth_deg, bearing.bearing_deg)


def _remarks(
    residuals_deg: Sequence[float], outliers: Sequence[int], agreement: float | None
) -> tuple[str, ...]:
    remarks = [
        f"Sighting {index + 1} is {abs(residuals_deg[index]):.0f} degrees off the others and "
        "was left out: check it."
        for index in outliers
    ]
    if agreement is None:
        remarks.append("Two observations always meet: one more would check them.")
    elif agreement < SUSPICIOUS:
        remarks.append(
            "The sightings disagree by more than their sigmas allow, so the ellipse is too small: "
            "take one more."
        )
    return tuple(remarks)


def _as_tuple(covariance: FloatArray) -> tuple[tuple[float, float], tuple[float, float]]:
    (east, both), (_, north) = covariance.tolist()
    return (east, both), (both, north)
