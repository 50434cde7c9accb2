"""What a second reading some way off should show, for each sector that may serve at a stop.

Under the hypothesis that a sector serves at the stop, its level there is what was read, and
every other sector lies below. Levels at the new place follow by linear regression: what a
panel departs from its prediction by EIRP, azimuth and its own pattern goes along, shadow
fading only over some ten metres. The phone then shows the strongest (TS 38.331, event A3),
be it another one. The outcome is its level and whether the stop's PCI still shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from surveyapp.analysis.candidates import GROUND_BLOCKED, GROUND_CLEAR
from surveyapp.analysis.intervals import normal_cdf
from surveyapp.analysis.sector_panel import BoolArray, FloatArray, SectorPanel
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.standing_places import StandingPlaces
from surveyapp.errors import NoAnswer
from surveyapp.geometry.serving_posterior import READING_SIGMA_DB, Posterior
from surveyapp.geometry.serving_terms import ROOF_M
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.smoothing import IntArray
from surveyapp.geometry.step_apart import (
    CONTENDERS,
    DECORRELATION_M,
    UNLISTED_CHANGE_SIGMA_DB,
)
from surveyapp.geometry.strongest import OWN_SIGMA_DB
from surveyapp.radio.propagation import Scenario, los_probability

LEVELS_DBM = np.arange(-156.0, -28.0, 2.0)
UNLISTED_SIGMA_DB_M = 0.1  # by which a sector nobody can predict gets vaguer; our assumption
_TINY = 1e-300


@dataclass(frozen=True, slots=True)
class Outlook:
    """Joint probability (hypotheses, places, levels, 2) of who serves at the stop and of what
    a reading at each place shows; the last axis is the same cell, another cell.

    Hypotheses are `names`, 'none' last; `change_db` (contenders, places) is by how much each
    one's level should change, `keeps` (hypotheses, places) how likely its PCI still shows, and
    `pci_read` tells whether the stop's PCI was read already.
    """

    names: tuple[str, ...]
    identities: tuple[str | None, ...]
    joint: FloatArray
    change_db: FloatArray
    keeps: FloatArray
    pci_read: bool

    def bits(self) -> FloatArray:
        """Expected information (places) about which sector serves at the stop."""
        outcome = self.joint.sum(axis=0)
        prior = self.joint.sum(axis=(2, 3))
        ratio = self.joint / np.maximum(prior[:, :, None, None] * outcome[None], _TINY)
        return np.asarray(np.sum(self.joint * np.log2(np.maximum(ratio, _TINY)), axis=(0, 2, 3)))

    def surest(self) -> FloatArray:
        """Expected probability (places) of the leading hypothesis after the reading."""
        return np.asarray(self.joint.max(axis=0).sum(axis=(1, 2)))

    def after(self, place: int, rsrp_dbm: float, same_cell: bool | None = None) -> FloatArray:
        """Probability (hypotheses) once a reading was taken at a place.

        `same_cell` tells whether the stop's PCI showed there too, None where that was not read.
        """
        level = int(np.clip(np.searchsorted(LEVELS_DBM, rsrp_dbm - 1.0), 0, len(LEVELS_DBM) - 1))
        at = self.joint[:, place, level]
        chosen = at.sum(axis=1) if same_cell is None else at[:, 0 if same_cell else 1]
        return np.asarray(chosen / max(float(chosen.sum()), _TINY))


class _Levels(NamedTuple):
    """Means and standard deviations of levels, contenders first, places second."""

    mean_dbm: FloatArray
    sigma_db: FloatArray


def reading_outlook(
    found: Posterior, places: StandingPlaces, roofs: Roofs | None = None
) -> Outlook:
    """The outlook of a reading at each place; raises NoAnswer where the stop has no RSRP yet."""
    read_dbm = found.observation.rsrp_dbm
    if read_dbm is None:
        raise NoAnswer("No RSRP was read at this stop: read it first, then ask where to go on.")
    prediction = found.prediction
    contenders = np.argsort(-found.probability[:-1], kind="stable")[:CONTENDERS]
    here = _at_places(found, contenders, places, roofs)
    offset_db = found.observation.phone_offset_db
    stop_mean = prediction.level_dbm[contenders] + offset_db
    stop_sigma = np.hypot(prediction.spread_db[contenders], found.observation.phone_sigma_db)
    kept = np.clip(here.covariance_db2 / stop_sigma[:, None] ** 2, -1.0, 1.0)
    mean = here.mean_dbm + offset_db
    left = np.maximum(
        here.variance_db2
        + found.observation.phone_sigma_db**2
        - kept**2 * stop_sigma[:, None] ** 2,
        READING_SIGMA_DB**2,
    )
    own = _Levels(
        mean + kept * (read_dbm - stop_mean)[:, None], np.sqrt(left + READING_SIGMA_DB**2)
    )
    cut_mean, cut_sigma = _below(stop_mean, stop_sigma, read_dbm)
    others = _Levels(
        mean + kept * (cut_mean - stop_mean)[:, None],
        np.sqrt(left + (kept * cut_sigma[:, None]) ** 2),
    )
    density = _outcomes(own, others, _unlisted(found, places, read_dbm))
    probability = np.append(found.probability[contenders], found.probability[-1])
    joint = probability[:, None, None, None] / probability.sum() * density
    return Outlook(
        names=(*(prediction.candidates[i].name for i in contenders), NONE_NAME),
        identities=(*(prediction.candidates[i].identity for i in contenders), None),
        joint=joint,
        change_db=own.mean_dbm - read_dbm,
        keeps=density[..., 0].sum(axis=2),
        pci_read=found.observation.pci is not None,
    )


class _Here(NamedTuple):
    """Predicted levels at the places (contenders, places), and their covariance with the stop."""

    mean_dbm: FloatArray
    variance_db2: FloatArray
    covariance_db2: FloatArray


def _at_places(
    found: Posterior, contenders: IntArray, places: StandingPlaces, roofs: Roofs | None
) -> _Here:
    """What each contender delivers at each place."""
    prediction, stop = found.prediction, found.observation
    plane = places.plane
    origin = np.array(plane.to_plane(stop.lat_deg, stop.lon_deg))
    walked = np.hypot(places.east_m - origin[0], places.north_m - origin[1])
    some = prediction.panels.take(contenders)
    named = [prediction.candidates[index] for index in contenders]
    site = np.array([plane.to_plane(one.lat_deg, one.lon_deg) for one in named]).reshape(-1, 2)
    east, north = places.east_m[:, None] - site[:, 0], places.north_m[:, None] - site[:, 1]
    distance = np.hypot(east, north)
    towards = np.degrees(np.arctan2(east, north))
    gain = some.gain_db(towards[..., None], distance)[:, :, 0, :]
    stop_gain = some.gain_db(
        prediction.bearing_deg[contenders][:, None] + 180.0, prediction.distance_m[contenders]
    )[:, 0, :]
    weight = some.azimuth_weight
    mean_gain, mean_stop = np.sum(gain * weight, axis=2), np.sum(stop_gain * weight, axis=1)
    in_sight = _in_sight(found, contenders, places, distance, roofs)
    los = np.stack([in_sight, 1.0 - in_sight], axis=1)
    loss, fading = some.loss_db(distance), some.shadow_db()
    mean_loss = np.sum(loss * los, axis=1)
    spread = np.sum(los * ((loss - mean_loss[:, None]) ** 2 + fading**2), axis=1)
    lasting = some.eirp_sigma_db**2 + OWN_SIGMA_DB**2
    turned = np.sum((gain - mean_gain[..., None]) ** 2 * weight, axis=2)
    together = np.sum(
        (gain - mean_gain[..., None]) * (stop_gain - mean_stop[:, None]) * weight, axis=2
    )
    was = np.stack([prediction.los[contenders], 1.0 - prediction.los[contenders]])
    shared = np.exp(-walked / DECORRELATION_M)[:, None] * np.sum(was * los * fading**2, axis=1)
    return _Here(
        (some.element_eirp_dbm + mean_gain - mean_loss).T,
        (spread + turned + lasting).T,
        (lasting + together + shared).T,
    )


def _in_sight(
    found: Posterior,
    contenders: IntArray,
    places: StandingPlaces,
    distance_m: FloatArray,
    roofs: Roofs | None,
) -> FloatArray:
    """Probability (places, contenders) of a line of sight at each place."""
    odds = np.empty(distance_m.shape)
    seen: dict[int, BoolArray] = {}
    for column, index in enumerate(contenders.tolist()):
        candidate = found.prediction.candidates[index]
        if roofs is None:
            kind = Scenario.UMA if candidate.height_m >= ROOF_M else Scenario.UMI
            odds[:, column] = los_probability(kind, distance_m[:, column])
            continue
        site = int(found.prediction.field.site_of[index])
        if site not in seen:
            eye = SectorPanel(
                name=candidate.name, lat_deg=candidate.lat_deg, lon_deg=candidate.lon_deg,
                azimuth_deg=None, height_m=candidate.height_m,
            )  # fmt: skip
            seen[site] = roofs.clear_from(eye, places.plane, places.east_m, places.north_m)
        odds[:, column] = np.where(seen[site], GROUND_CLEAR, GROUND_BLOCKED)
    return odds


def _below(mean: FloatArray, sigma: FloatArray, limit: float) -> tuple[FloatArray, FloatArray]:
    """Mean and standard deviation of normal levels known to lie below a limit.

    Source: N. L. Johnson, S. Kotz and N. Balakrishnan, Continuous Univariate Distributions,
    volume 1, 2nd edition 1994, section 13.10.1 (from memory).
    """
    over = np.clip((limit - mean) / sigma, -8.0, 8.0)
    hazard = np.exp(-0.5 * over**2) / np.sqrt(2.0 * np.pi) / np.maximum(normal_cdf(over), _TINY)
    left = np.maximum(1.0 - over * hazard - hazard**2, 0.01)
    return mean - sigma * hazard, sigma * np.sqrt(left)


def _unlisted(found: Posterior, places: StandingPlaces, read_dbm: float) -> _Levels:
    """What a sector nobody listed delivers at the places (1, places), had it served the stop."""
    stop = places.plane.to_plane(found.observation.lat_deg, found.observation.lon_deg)
    walked = np.hypot(places.east_m - stop[0], places.north_m - stop[1])
    sigma = UNLISTED_CHANGE_SIGMA_DB + UNLISTED_SIGMA_DB_M * walked
    return _Levels(np.full((1, len(walked)), read_dbm), sigma[None])


def _outcomes(own: _Levels, others: _Levels, none: _Levels) -> FloatArray:
    """Probability (hypotheses, places, levels, 2) of each outcome under each hypothesis."""
    edges = np.append(LEVELS_DBM - 1.0, LEVELS_DBM[-1] + 1.0)
    first = [np.concatenate(pair) for pair in zip(own, none, strict=True)]
    own_below = normal_cdf((edges - first[0][..., None]) / first[1][..., None])
    other_below = normal_cdf((edges - others.mean_dbm[..., None]) / others.sigma_db[..., None])
    logs = np.log(np.maximum(other_below, _TINY))
    every = logs.sum(axis=0)
    rest = np.exp(np.concatenate([every - logs, every[None]]))  # all others stay below
    own_mass = np.diff(own_below, axis=2)
    same = own_mass * 0.5 * (rest[..., 1:] + rest[..., :-1])
    strongest = np.diff(own_below * rest, axis=2)  # the best of all, whoever it is
    found = np.stack([same, np.maximum(strongest - same, 0.0)], axis=3)
    return np.asarray(found / np.maximum(found.sum(axis=(2, 3), keepdims=True), _TINY))
