"""The likelihood of a position given bearings (and ranges) to it, in a plane.

Bearings follow a von Mises distribution: R. V. Lenth, On finding the source of a signal,
Technometrics 23 (1981) 149-154. Minus twice its log likelihood, 2 kappa (1 - cos residual),
is the square of 2 sqrt(kappa) sin(residual / 2), so the most likely position is a nonlinear
least-squares fit, here by K. Levenberg (1944) and D. W. Marquardt (1963).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
Weights: TypeAlias = float | FloatArray

ANDREWS = 1.5  # Lenth (1981): weights fall as sin(t / 1.5) / (t / 1.5) and end at 1.5 pi sigmas
NEAREST_M = 1e-6  # a position this near a stop has no bearing from it
_MOST_PAIRS = 60  # whose crossings are tried as starts of the search
_BEST_STARTS = 2
_ROUNDS = 60
_REWEIGHTINGS = 20
_STILL_M = 1e-7  # a search ends with a step this small
_NODES = 7  # of the quadrature, each way
_NARROWEST = 0.5  # sigmas of first order


@dataclass(frozen=True, slots=True)
class Rays:
    """Sightings in the plane: arrays of one length n, angles in radians clockwise from north.

    `variance_rad2` is that of the bearing itself; the stop's `position_variance_m2` adds what
    it makes of a bearing at the distance of the position tried. Sightings from one stop share
    its position error, so each counts by `share` of what they tell together. `range_m` is NaN
    where no distance was measured.
    """

    east_m: FloatArray
    north_m: FloatArray
    bearing_rad: FloatArray
    variance_rad2: FloatArray
    share: FloatArray
    position_variance_m2: FloatArray
    range_m: FloatArray
    range_variance_m2: FloatArray

    @property
    def count(self) -> int:
        """How many sightings there are."""
        return len(self.bearing_rad)

    def outward(self, at: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Offsets (..., n, 2) from the stops to positions (..., 2), and distances (..., n)."""
        offset = at[..., None, :] - np.column_stack([self.east_m, self.north_m])
        return offset, np.maximum(np.hypot(offset[..., 0], offset[..., 1]), NEAREST_M)

    def off_rad(self, at: FloatArray) -> FloatArray:
        """Bearing seen less bearing to the position, (..., n), in [-pi, pi)."""
        offset, _ = self.outward(at)
        off = self.bearing_rad - np.arctan2(offset[..., 0], offset[..., 1])
        return np.asarray(np.remainder(off + math.pi, 2 * math.pi) - math.pi)

    def kappa(self, distance_m: FloatArray) -> FloatArray:
        """Concentration of each bearing; 1 / variance, within 2 % up to 15 degrees."""
        together = self.variance_rad2 * self.share + self.position_variance_m2 / distance_m**2
        return np.asarray(self.share / together)

    def range_precision(self) -> FloatArray:
        """1 / sigma of each range, 0 where none was measured."""
        return np.where(np.isfinite(self.range_m), 1 / np.sqrt(self.range_variance_m2), 0.0)

    def residuals(self, at: FloatArray, weights: Weights = 1.0) -> FloatArray:
        """Weighted residuals (..., 2 n) of positions (..., 2): of the bearings, then ranges."""
        _, distance = self.outward(at)
        bearing = 2 * np.sqrt(weights * self.kappa(distance)) * np.sin(self.off_rad(at) / 2)
        short = np.where(np.isfinite(self.range_m), self.range_m - distance, 0.0)
        along = short * self.range_precision() * np.sqrt(weights)
        return np.concatenate([bearing, along], axis=-1)

    def slopes(self, at: FloatArray, weights: Weights = 1.0) -> FloatArray:
        """Derivatives (2 n, 2) of the residuals of one position (2)."""
        offset, distance = self.outward(at)
        outward = offset / distance[:, None]
        clockwise = np.column_stack([outward[:, 1], -outward[:, 0]]) / distance[:, None]
        half, kappa = self.off_rad(at) / 2, self.kappa(distance)
        root = np.sqrt(weights * kappa)
        # With distance the stop's own position error fades from the bearing: d root / d distance.
        growth = root * kappa / self.share * self.position_variance_m2 / distance**3
        bearing = (2 * growth * np.sin(half))[:, None] * outward
        bearing -= (root * np.cos(half))[:, None] * clockwise
        along = (self.range_precision() * np.sqrt(weights))[:, None] * outward
        return np.concatenate([bearing, -along])

    def deviance(self, at: FloatArray, weights: Weights = 1.0) -> FloatArray:
        """Minus twice the log likelihood of positions (..., 2), up to a constant."""
        return np.asarray(np.sum(self.residuals(at, weights) ** 2, axis=-1))

    def information(self, at: FloatArray) -> FloatArray:
        """Expected (Fisher) information (2, 2) at a position."""
        offset, distance = self.outward(at)
        outward = offset / distance[:, None]
        across = np.column_stack([outward[:, 1], -outward[:, 0]])
        bearing = self.kappa(distance) / distance**2
        along = self.range_precision() ** 2
        return np.asarray((across.T * bearing) @ across + (outward.T * along) @ outward)

    def crossings(self) -> FloatArray:
        """Places (k, 2) where rays meet or ranges end, to start a search from."""
        direction = np.column_stack([np.sin(self.bearing_rad), np.cos(self.bearing_rad)])
        stops = np.column_stack([self.east_m, self.north_m])
        measured = np.isfinite(self.range_m)
        places = list((stops + direction * self.range_m[:, None])[measured])
        for a, b in list(combinations(range(len(stops)), 2))[:_MOST_PAIRS]:
            sine = cross(direction[a], direction[b])
            if abs(sine) > 1e-9:
                places.append(
                    stops[a] + direction[a] * cross(stops[b] - stops[a], direction[b]) / sine
                )
        return np.array(places).reshape(-1, 2)


def cross(a: FloatArray, b: FloatArray) -> float:
    """The cross product of two plane vectors."""
    return float(a[0] * b[1] - a[1] * b[0])


def most_likely(rays: Rays) -> FloatArray:
    """The position (2) of the highest likelihood, searched from where the rays meet."""
    return _lowest(rays, rays.deviance, lambda start: descend(rays, start))


def robust(rays: Rays) -> FloatArray:
    """The position (2) of Andrews' fit, in which far-off sightings count nothing."""

    def loss(at: FloatArray) -> FloatArray:
        scaled = np.minimum(standardised(rays, at) / ANDREWS, math.pi)
        return np.asarray(np.sum(1 - np.cos(scaled), axis=-1))

    return _lowest(rays, loss, lambda start: _reweight(rays, start))


def andrews_weights(sigmas: FloatArray) -> FloatArray:
    """Weight of a residual that is so many sigmas: 1 at none, 0 from 1.5 pi on."""
    return np.where(sigmas < ANDREWS * math.pi, np.sinc(sigmas / ANDREWS / math.pi), 0.0)


def spread(rays: Rays, at: FloatArray) -> FloatArray:
    """Covariance (2, 2) about the most likely position, from the likelihood's own second moments.

    Gauss-Hermite quadrature in the frame of the Fisher information: to first order its
    inverse, but with the likelihood's longer tails, so that the ellipse also holds at a few
    degrees and few sightings. Where the likelihood is so far from a hill that the nodes miss
    its width, no direction is taken for narrower than half its first-order sigma.
    """
    nodes, masses = np.polynomial.hermite_e.hermegauss(_NODES)
    precision, axes = np.linalg.eigh(rays.information(at))
    frame = axes / np.sqrt(precision)
    unit = np.stack(np.meshgrid(nodes, nodes), axis=-1).reshape(-1, 2)
    step = unit @ frame.T
    excess = rays.deviance(at + step) - rays.deviance(at)
    mass = np.outer(masses, masses).ravel() * np.exp((np.sum(unit**2, axis=-1) - excess) / 2)
    values, turn = np.linalg.eigh((unit.T * mass) @ unit / np.sum(mass))
    sides = frame @ (turn * np.sqrt(np.maximum(values, _NARROWEST**2)))
    return np.asarray(sides @ sides.T)


def standardised(rays: Rays, at: FloatArray) -> FloatArray:
    """Size of each sighting's residual in sigmas, (..., n); the worse of bearing and range."""
    _, distance = rays.outward(at)
    alone = rays.variance_rad2 + rays.position_variance_m2 / distance**2
    bearing = 2 * np.abs(np.sin(rays.off_rad(at) / 2)) / np.sqrt(alone)
    short = np.where(np.isfinite(rays.range_m), rays.range_m - distance, 0.0)
    return np.maximum(bearing, np.abs(short) * rays.range_precision())


def _lowest(
    rays: Rays,
    loss: Callable[[FloatArray], FloatArray],
    descent: Callable[[FloatArray], FloatArray],
) -> FloatArray:
    """The best end of descents from the most promising crossings."""
    starts = rays.crossings()
    order = np.argsort(loss(starts), kind="stable")[:_BEST_STARTS]
    ends = np.array([descent(starts[index]) for index in order])
    return np.asarray(ends[np.argmin(loss(ends))])


def _reweight(rays: Rays, start: FloatArray) -> FloatArray:
    """Iteratively reweighted descent; ends where the weights let nothing move any more."""
    at = start
    for _ in range(_REWEIGHTINGS):
        weights = andrews_weights(standardised(rays, at))
        if np.count_nonzero(weights) < 2:
            return at
        before, at = at, descend(rays, at, weights)
        if np.hypot(*(at - before)) < 10_000 * _STILL_M:
            break
    return at


def descend(rays: Rays, start: FloatArray, weights: Weights = 1.0) -> FloatArray:
    """The nearest minimum of the weighted deviance, by damped Gauss-Newton steps."""
    at, damping = start, 1e-3
    residuals = rays.residuals(at, weights)
    slopes = rays.slopes(at, weights)
    for _ in range(_ROUNDS):
        normal = slopes.T @ slopes
        damped = normal + np.diag(damping * np.diag(normal) + 1e-30)
        step = np.linalg.solve(damped, -slopes.T @ residuals)
        tried = rays.residuals(at + step, weights)
        if tried @ tried <= residuals @ residuals:
            at, residuals = at + step, tried
            slopes = rays.slopes(at, weights)
            damping = max(damping / 10, 1e-12)
            if np.hypot(*step) < _STILL_M:
                break
        else:
            damping *= 10
            if damping > 1e12:
                break
    return np.asarray(at)
