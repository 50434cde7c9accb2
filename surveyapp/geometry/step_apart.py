"""Where a few steps part the contenders: how each one's level should change, and what it tells.

Walking a few metres changes what a sector delivers by its pattern and its distance, which is
predicted, by fading, which decorrelates over some ten metres, and by views lost or won. The
phone's own offset drops out of the change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from surveyapp.geometry.directions import compass_word
from surveyapp.geometry.serving_posterior import READING_SIGMA_DB, Posterior
from surveyapp.geometry.smoothing import FloatArray, IntArray

DECORRELATION_M = 13.0  # TR 38.901 table 7.5-6, UMi street canyon without LOS (10 m with it)
VIEW_CORRELATION_M = 50.0  # TR 38.901 table 7.6.3.1-2, UMi, state of line of sight; from memory
VIEW_VARIANCE = 0.2  # of a view that was lost or won, near the 0.25 of even odds
UNLISTED_CHANGE_SIGMA_DB = 8.0  # of a sector nobody can predict; our assumption
STEPS_M = (15.0, 30.0, 60.0)
DIRECTIONS_DEG = tuple(range(0, 360, 45))
CONTENDERS = 8
CHANGE_GRID_DB = np.arange(-48.0, 49.0, 2.0)


@dataclass(frozen=True, slots=True)
class Steps:
    """Walks from the stop: azimuth and length of each (walks), and their expected bits.

    `change_db` (contenders, walks) is by how much each contender's level should change.
    """

    azimuth_deg: FloatArray
    length_m: FloatArray
    bits: FloatArray
    contenders: IntArray
    change_db: FloatArray


def steps_apart(found: Posterior) -> Steps:
    """Every walk tried, with the bits that the change of RSRP along it should tell.

    It supposes that the phone stays on the sector it is on.
    """
    grid = np.meshgrid(np.array(DIRECTIONS_DEG, dtype=float), np.array(STEPS_M), indexing="ij")
    azimuth, length = grid[0].ravel(), grid[1].ravel()
    contenders = np.argsort(-found.probability[:-1])[:CONTENDERS]
    change, variance = _changes(found, contenders, azimuth, length)
    probability = np.append(found.probability[contenders], found.probability[-1])
    mean = np.vstack([change, np.zeros_like(length)])
    spread = np.sqrt(np.vstack([variance, np.full_like(length, UNLISTED_CHANGE_SIGMA_DB**2)]))
    apart = (CHANGE_GRID_DB - mean[..., None]) / spread[..., None]
    density = np.exp(-0.5 * apart**2)
    density /= density.sum(axis=-1, keepdims=True)
    joint = probability[:, None, None] / probability.sum() * density
    outcome = joint.sum(axis=0)
    ratio = density / np.maximum(outcome, 1e-300)
    bits = np.sum(joint * np.log2(np.maximum(ratio, 1e-300)), axis=(0, 2))
    return Steps(azimuth, length, bits, contenders, change)


def step_text(steps: Steps, walk: int, found: Posterior, named: int = 2) -> str:
    """One walk in words, with what so many of the leading contenders should do along it."""
    names = [found.prediction.candidates[i].name for i in steps.contenders[:named]]
    told = [
        f"{_change_words(float(change))} if {name} serves"
        for name, change in zip(names, steps.change_db[:named, walk], strict=True)
    ]
    return (
        f"Step {steps.length_m[walk]:.0f} m {compass_word(float(steps.azimuth_deg[walk]))} and "
        f"read the RSRP again: it should {', '.join(told)}."
    )


def _change_words(change_db: float) -> str:
    """'rise by 9 dB', 'fall by 4 dB' or 'stay'."""
    size = round(abs(change_db))
    if size == 0:
        return "stay"
    return f"{'rise' if change_db > 0 else 'fall'} by {size} dB"


def _changes(
    found: Posterior, contenders: IntArray, azimuth_deg: FloatArray, length_m: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Mean and variance (contenders, walks) of the change of each one's RSRP."""
    prediction = found.prediction
    some = prediction.panels.take(contenders)
    distance = prediction.distance_m[contenders]
    bearing = np.radians(prediction.bearing_deg[contenders])
    walk = np.radians(azimuth_deg)[:, None]
    east = distance * np.sin(bearing) - length_m[:, None] * np.sin(walk)
    north = distance * np.cos(bearing) - length_m[:, None] * np.cos(walk)
    new_distance = np.hypot(east, north)
    towards = np.degrees(np.arctan2(east, north)) + 180.0
    gain = some.gain_db(towards[..., None], new_distance) - some.gain_db(
        np.degrees(bearing)[:, None] + 180.0, distance
    )
    gain = gain[:, :, 0, :]
    weight = some.azimuth_weight
    mean_gain = np.sum(gain * weight, axis=-1)
    los = np.stack([prediction.los[contenders], 1.0 - prediction.los[contenders]])
    new_loss = some.loss_db(new_distance)
    loss = np.sum((new_loss - some.loss_db(distance)) * los, axis=1)
    gap = new_loss[:, 1] - new_loss[:, 0]
    turned = VIEW_VARIANCE * gap**2 * (1.0 - np.exp(-length_m / VIEW_CORRELATION_M))[:, None]
    fading = np.sum(some.shadow_db() ** 2 * los, axis=0)
    faded = 2.0 * fading * (1.0 - np.exp(-length_m / DECORRELATION_M))[:, None]
    spread = np.sum((gain - mean_gain[..., None]) ** 2 * weight, axis=-1)
    variance = spread + faded + turned + 2.0 * READING_SIGMA_DB**2
    return (mean_gain - loss).T, variance.T
