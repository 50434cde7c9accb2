"""Expected levels of many links at once, and which way of being wrong explains each best.

For a link the level is known but for four ways things can be: the line of sight is free or
blocked, and the panel hangs as noted or is turned elsewhere. Each way predicts a level with a
spread; what was measured weighs them by Bayes' rule. Losses and shadow fading: TR 38.901
V19.4.0 table 7.4.1-1; pattern: its table 7.3-1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.serving_posterior import READING_SIGMA_DB
from surveyapp.geometry.serving_terms import ROOF_M
from surveyapp.geometry.smoothing import normal_nodes
from surveyapp.geometry.strongest import OWN_SIGMA_DB
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, path_loss_db, shadow_sigma_db

FloatArray = NDArray[np.float64]

USER_HEIGHT_M = 1.5  # TR 38.901 table 7.4.1-1, usual h_UT
TURNED_PRIOR = 0.05  # share of azimuths noted wrong by far; our assumption
NODES, NODE_WEIGHT = normal_nodes(5)
TURNS_DEG: FloatArray = np.arange(24, dtype=np.float64) * 15.0
WIDEST_SIGMA_DEG = 104.0  # of a direction not known at all, 360 / sqrt(12)
DECADE_DB = 35.3  # TR 38.901 table 7.4.1-1, UMi without sight: dB per decade of distance
LARGEST_PLACE_SIGMA_DB = 6.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Links:
    """n links as arrays of length n; a value not known is NaN where the comment allows it.

    `off_deg` (NaN: azimuth not known) is the angle off boresight, `direction_sigma_deg` how
    well it is known, `other_db` what rain and leaves take (0 or more), `offset_db` and
    `offset_sigma_db` the phone's own, `measured_dbm` the RSRP read (NaN: none).
    """

    element_eirp_dbm: FloatArray
    eirp_sigma_db: FloatArray
    mhz: FloatArray
    distance_m: FloatArray
    height_m: FloatArray
    off_deg: FloatArray
    direction_sigma_deg: FloatArray
    place_sigma_m: FloatArray
    beamwidth_deg: FloatArray
    downtilt_deg: FloatArray
    los_probability: FloatArray
    other_db: FloatArray
    offset_db: FloatArray
    offset_sigma_db: FloatArray
    measured_dbm: FloatArray


@dataclass(frozen=True, kw_only=True, slots=True)
class Levels:
    """What each of n links should show, and what explains it; all arrays of length n.

    `loss_db` and `sigma_db` are (2, n): with and without line of sight. `gain_db` is that of
    the panel as noted. `blocked` and `turned` are probabilities after the measurement, and
    `turned_gain_db` the gain expected if the panel is turned elsewhere.
    """

    loss_db: FloatArray
    sigma_db: FloatArray
    gain_db: FloatArray
    level_dbm: FloatArray
    blocked: FloatArray
    turned: FloatArray
    turned_gain_db: FloatArray
    mean_dbm: FloatArray
    spread_db: FloatArray


def levels(links: Links) -> Levels:
    """Work out n links; raises OutOfRange outside what TR 38.901 is valid for."""
    loss, shadow = _losses(links)
    gain, gain_sigma = _gain(links)
    scale = np.log10(1.0 + links.place_sigma_m / np.maximum(links.distance_m, 1.0))
    place = np.minimum(DECADE_DB * scale, LARGEST_PLACE_SIGMA_DB)
    common = (
        links.eirp_sigma_db**2
        + links.offset_sigma_db**2
        + place**2
        + OWN_SIGMA_DB**2
        + READING_SIGMA_DB**2
    )
    peak = links.element_eirp_dbm + links.offset_db - links.other_db - loss
    sigma = np.sqrt(shadow**2 + common + gain_sigma**2)
    blocked, turned, turned_gain = _explained(links, peak, gain, sigma, np.sqrt(shadow**2 + common))
    level = peak + gain
    seen = np.stack([links.los_probability, 1.0 - links.los_probability])
    mean = (seen * level).sum(axis=0)
    spread = np.sqrt((seen * (level**2 + sigma**2)).sum(axis=0) - mean**2)
    return Levels(
        loss_db=loss, sigma_db=sigma, gain_db=gain, level_dbm=level, blocked=blocked,
        turned=turned, turned_gain_db=turned_gain, mean_dbm=mean, spread_db=spread,
    )  # fmt: skip


def gain_towards_db(links: Links, off_deg: FloatArray) -> FloatArray:
    """Pattern in dB of each link's panel at angles off its boresight (..., n)."""
    down = np.degrees(np.arctan2(links.height_m - USER_HEIGHT_M, np.maximum(links.distance_m, 0.1)))
    return pattern_db(off_deg, links.downtilt_deg - down, beamwidth_deg=links.beamwidth_deg)


def _losses(links: Links) -> tuple[FloatArray, FloatArray]:
    """Median loss and shadow fading (2, n), street canyon below ROOF_M, urban macro above."""
    loss = np.empty((2, len(links.mhz)))
    shadow = np.empty_like(loss)
    roof = links.height_m >= ROOF_M
    sight = np.array([[True], [False]])
    for scenario, here in ((Scenario.UMI, ~roof), (Scenario.UMA, roof)):
        if here.any():
            loss[:, here] = path_loss_db(
                scenario,
                links.distance_m[here],
                links.mhz[here],
                los=sight,
                base_height_m=links.height_m[here],
                user_height_m=USER_HEIGHT_M,
            )
            shadow[:, here] = shadow_sigma_db(scenario, sight)
    return loss, shadow


def _gain(links: Links) -> tuple[FloatArray, FloatArray]:
    """Mean and standard deviation (n) of the panel's gain as noted, over its direction."""
    sigma = np.minimum(links.direction_sigma_deg, WIDEST_SIGMA_DEG)
    gain = gain_towards_db(links, np.nan_to_num(links.off_deg) + NODES[:, None] * sigma)
    mean = NODE_WEIGHT @ gain
    deviation = np.sqrt(np.maximum(NODE_WEIGHT @ gain**2 - mean**2, 0.0))
    unknown = np.isnan(links.off_deg)
    if unknown.any():
        every = gain_towards_db(links, TURNS_DEG[:, None] + np.zeros_like(mean))
        mean = np.where(unknown, every.mean(axis=0), mean)
        deviation = np.where(unknown, every.std(axis=0), deviation)
    return mean, deviation


def _explained(
    links: Links, peak: FloatArray, gain: FloatArray, sigma: FloatArray, aimed_sigma: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Probabilities of a blocked line and of a turned panel, and the gain then expected."""
    unread = np.isnan(links.measured_dbm)
    seen = np.stack([links.los_probability, 1.0 - links.los_probability])
    apart = links.measured_dbm - peak
    noted = seen * _density(apart - gain, sigma)
    turns = gain_towards_db(links, TURNS_DEG[:, None])
    elsewhere = seen * _density(apart - turns[:, None, :], aimed_sigma) / len(TURNS_DEG)
    prior = np.where(np.isnan(links.off_deg), 0.0, TURNED_PRIOR)
    as_noted = (1.0 - prior) * noted.sum(axis=0)
    as_turned = prior * elsewhere.sum(axis=(0, 1))
    hidden = (1.0 - prior) * noted[1] + prior * elsewhere[:, 1].sum(axis=0)
    total = as_noted + as_turned
    by_turn = elsewhere.sum(axis=1) + 1e-300
    turned_gain = (by_turn * turns).sum(axis=0) / by_turn.sum(axis=0)
    usable = ~unread & (total > 0.0)
    total = np.where(usable, total, 1.0)
    return (
        np.where(usable, hidden / total, 1.0 - links.los_probability),
        np.where(usable, as_turned / total, prior),
        turned_gain,
    )


def _density(apart: FloatArray, sigma: FloatArray) -> FloatArray:
    """Normal density, with tails wide enough that far off readings still weigh something."""
    with np.errstate(invalid="ignore"):
        return np.asarray(np.exp(-0.5 * np.minimum((apart / sigma) ** 2, 1000.0)) / sigma)
