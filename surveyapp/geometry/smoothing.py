"""Distributions of a level in dB on even grids, and their smoothing by a Gaussian.

Masses lie on a grid of 1 dB. A Gaussian is applied in the Fourier domain, where it is exact
for any width above half a decibel, and the result is sampled four times as finely, so that a
straight line between two samples is off by less than 1e-4 of a probability.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

FloatArray: TypeAlias = NDArray[np.float64]
IntArray: TypeAlias = NDArray[np.intp]
BoolArray: TypeAlias = NDArray[np.bool_]

STEP_DB = 1.0
FINE = 4
FINE_STEP_DB = STEP_DB / FINE


@dataclass(frozen=True, slots=True)
class Smoothed:
    """Densities per dB on a fine grid that starts at `start_db`; shape (..., samples)."""

    start_db: float
    density: FloatArray

    def below(self) -> FloatArray:
        """Probability of a level below each sample (trapezoid rule)."""
        total = np.cumsum(self.density, axis=-1)
        return np.asarray((total - 0.5 * self.density) * FINE_STEP_DB)


def place_on_grid(
    values_db: FloatArray, weights: FloatArray, start_db: float, size: int
) -> FloatArray:
    """Masses (rows, size) of weighted values (rows, n), each shared by its two neighbours.

    Values off the grid are put at its end. Sharing widens a value's variance by at most a
    quarter of STEP_DB squared.
    """
    rows = values_db.shape[0]
    place = np.clip((values_db - start_db) / STEP_DB, 0.0, size - 1.001)
    lower = place.astype(np.intp)
    upper_share = (place - lower) * weights
    index = lower + size * np.arange(rows)[:, None]
    count = rows * size
    lower_masses = np.bincount(
        index.ravel(), weights=np.ravel(weights - upper_share), minlength=count
    )
    upper_masses = np.bincount(index.ravel() + 1, weights=upper_share.ravel(), minlength=count)
    masses = np.asarray(lower_masses + upper_masses[:count], dtype=np.float64)
    return masses.reshape(rows, size)


def smooth(masses: FloatArray, start_db: float, sigma_db: FloatArray) -> Smoothed:
    """Convolve masses (..., size) on the 1 dB grid with Gaussians of `sigma_db` (...).

    The grid is widened by three quarters of its own length or more on either side, which
    holds six sigma of any fading.
    """
    size = masses.shape[-1]
    margin = max(96, size // 2)
    length = 1 << (size + 2 * margin - 1).bit_length()
    padded = np.zeros((*masses.shape[:-1], length))
    padded[..., margin : margin + size] = masses
    spectrum = np.fft.rfft(padded)
    turn = 2.0 * np.pi * np.arange(spectrum.shape[-1]) / (length * STEP_DB)
    spectrum *= np.exp(-0.5 * (sigma_db[..., None] * turn) ** 2)
    density = np.fft.irfft(spectrum, FINE * length) * (FINE / STEP_DB)
    return Smoothed(start_db - margin * STEP_DB, np.maximum(density, 0.0))


@lru_cache(maxsize=8)
def gaussian_kernels(size: int, sigma_db: float) -> tuple[FloatArray, FloatArray]:
    """Matrices (size, size) that turn masses on the grid into densities and into 'below'.

    The variance that sharing between neighbours adds on average, a sixth of STEP_DB squared,
    is taken off.
    """
    sigma = math.sqrt(sigma_db**2 - STEP_DB**2 / 6.0)
    apart = STEP_DB * (np.arange(size)[None, :] - np.arange(size)[:, None]) / sigma
    density = np.exp(-0.5 * apart**2) / (sigma * math.sqrt(2.0 * math.pi))
    below = 0.5 * np.vectorize(math.erfc)(-apart / math.sqrt(2.0))
    density.setflags(write=False)
    below.setflags(write=False)
    return density, below


@lru_cache(maxsize=8)
def normal_nodes(count: int) -> tuple[FloatArray, FloatArray]:
    """Gauss-Hermite nodes and weights of a standard normal quantity; the weights sum to 1."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(count)
    weights /= weights.sum()
    nodes.setflags(write=False)
    weights.setflags(write=False)
    return nodes, weights
