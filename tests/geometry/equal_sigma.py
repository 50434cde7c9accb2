"""Lenth's estimators for bearings whose common sigma is not known but told by their scatter.

R. V. Lenth, On finding the source of a signal, Technometrics 23 (1981) 149-154: maximum
likelihood, Andrews' robust fit, the concentration kappa and the covariance of both,
on the likelihood of `surveyapp.geometry.fix_likelihood`, so that this stands the published test.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.errors import NoAnswer
from surveyapp.geometry.fix_likelihood import (
    FloatArray,
    Rays,
    andrews_weights,
    descend,
    most_likely,
)

_ROUNDS = 100
_STILL = 1e-9


@dataclass(frozen=True, slots=True)
class EqualSigmaFix:
    """Position in the plane with its covariance (2, 2), and the sigma the bearings showed.

    `weights` are those of the robust fit, 0 for an outlier; all 1 for maximum likelihood.
    """

    east_m: float
    north_m: float
    covariance_m2: FloatArray
    kappa: float
    sigma_deg: float
    weights: tuple[float, ...]


def equal_sigma_fix(
    east_m: Sequence[float],
    north_m: Sequence[float],
    bearing_deg: Sequence[float],
    *,
    robustly: bool = False,
) -> EqualSigmaFix:
    """Position of what was sighted from stops in the plane, all bearings equally good.

    Raises NoAnswer for fewer than three bearings, since two leave nothing to tell a sigma
    from, and for a robust fit that left fewer than three.
    """
    if len(bearing_deg) < 3:
        raise NoAnswer("A sigma can be told from three bearings or more: give one more.")
    rays = _rays(east_m, north_m, bearing_deg)
    weights = np.ones(rays.count)
    at = most_likely(rays)
    kappa = kappa_of(rays.off_rad(at), weights)
    for _ in range(_ROUNDS if robustly else 0):
        sigmas = 2 * math.sqrt(kappa) * np.abs(np.sin(rays.off_rad(at) / 2))
        weights = andrews_weights(sigmas)
        if np.count_nonzero(weights) < 3:
            raise NoAnswer("Fewer than three of the bearings agree: sight the site again.")
        before, at = at, descend(rays, at, weights)
        kappa = kappa_of(rays.off_rad(at), weights)
        if np.hypot(*(at - before)) < _STILL:
            break
    return EqualSigmaFix(
        east_m=float(at[0]),
        north_m=float(at[1]),
        covariance_m2=_covariance(rays, at, weights, kappa),
        kappa=kappa,
        sigma_deg=math.degrees(1 / math.sqrt(kappa)),
        weights=tuple(weights.tolist()),
    )


def kappa_of(off_rad: FloatArray, weights: FloatArray) -> float:
    """Concentration from the mean cosine of residuals, corrected for small samples.

    Source: Lenth (1981), equation for 1 / kappa.
    """
    cosine = float(np.sum(weights * np.cos(off_rad)) / np.sum(weights))
    if cosine <= 0.0:
        raise NoAnswer("The bearings agree on nothing: check which way each was taken.")
    gap = max(1.0 - cosine, 1e-15)  # bearings that meet in one point have no scatter at all
    return 1 / (2 * gap + gap**2 * (0.48794 - 0.82905 * cosine - 1.3915 * cosine**2) / cosine)


def _covariance(rays: Rays, at: FloatArray, weights: FloatArray, kappa: float) -> FloatArray:
    """Lenth's covariance (2, 2), which takes each ray as seen against the ray as fitted."""
    offset, distance = rays.outward(at)
    fitted = np.column_stack([offset[:, 1], -offset[:, 0]]) / distance[:, None]
    seen = np.column_stack([np.cos(rays.bearing_rad), -np.sin(rays.bearing_rad)])
    mixed = (seen.T * (weights / distance**2)) @ fitted
    return np.asarray(np.linalg.inv((mixed + mixed.T) / 2) / kappa)


def _rays(east_m: Sequence[float], north_m: Sequence[float], bearing_deg: Sequence[float]) -> Rays:
    """Rays of one radian each: with equal sigmas its size does not move the position."""
    alike = np.ones(len(bearing_deg))
    return Rays(
        east_m=np.asarray(east_m, dtype=np.float64),
        north_m=np.asarray(north_m, dtype=np.float64),
        bearing_rad=np.radians(bearing_deg),
        variance_rad2=alike,
        share=alike,
        position_variance_m2=0 * alike,
        range_m=math.nan * alike,
        range_variance_m2=alike,
    )
