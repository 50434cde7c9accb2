"""What each candidate sector should deliver at a stop, before anything is measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from surveyapp.geometry.panels import WIDEST_SIGMA_DEG, Panels, panels
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving_terms import ROOF_M, Candidate, Observation
from surveyapp.geometry.smoothing import FloatArray, IntArray, normal_nodes
from surveyapp.geometry.strongest import OWN_SIGMA_DB, LevelField
from surveyapp.geometry.unlisted import UnlistedField, density_per_m2
from surveyapp.model import View
from surveyapp.radio.propagation import Scenario, los_probability

REACH_M = 5000.0  # validity of TR 38.901's losses
DIRECTION_NODES = 9
LARGEST_PLACE_SIGMA_DB = 6.0
VIEW_LOS = {View.CLEAR: 1.0, View.PARTLY: 0.5, View.BLOCKED: 0.0}


@dataclass(frozen=True, slots=True)
class Prediction:
    """Candidates within reach with their geometry and levels; all arrays over them (n).

    `off_deg` is signed (NaN for an unknown azimuth), `spread_db` the standard deviation of
    `level_dbm` over all that is uncertain.
    """

    candidates: tuple[Candidate, ...]
    panels: Panels
    distance_m: FloatArray
    bearing_deg: FloatArray
    off_deg: FloatArray
    level_dbm: FloatArray
    spread_db: FloatArray
    field: LevelField

    @property
    def los(self) -> FloatArray:
        """Probability (n) of a line of sight."""
        return self.field.los_probability[self.field.site_of]

    @property
    def on_air(self) -> FloatArray:
        """Probability (n) that a sector is on air with a carrier of the leg."""
        return np.asarray(self.field.on_air * self.field.site_on_air[self.field.site_of])


def predict(observation: Observation, candidates: Sequence[Candidate]) -> Prediction | None:
    """Geometry and level field of the candidates within 5 km, or None if there is none."""
    if not candidates:
        return None
    plane = Plane(observation.lat_deg, observation.lon_deg)
    east, north = plane.to_plane(
        np.array([c.lat_deg for c in candidates]), np.array([c.lon_deg for c in candidates])
    )
    near = np.hypot(east, north) <= REACH_M
    kept = tuple(c for c, inside in zip(candidates, near, strict=True) if inside)
    if not kept:
        return None
    distance = np.hypot(east, north)[near]
    bearing = np.degrees(np.arctan2(east, north))[near] % 360.0
    arrays = panels(kept, observation)
    field = _field(observation, kept, arrays, distance, bearing)
    level, spread = _moments(field)
    azimuth = np.array([np.nan if c.azimuth_deg is None else c.azimuth_deg for c in kept])
    return Prediction(
        candidates=kept,
        panels=arrays,
        distance_m=distance,
        bearing_deg=bearing,
        off_deg=(bearing - azimuth) % 360.0 - 180.0,
        level_dbm=level,
        spread_db=spread,
        field=field,
    )


def _field(
    observation: Observation,
    candidates: tuple[Candidate, ...],
    arrays: Panels,
    distance_m: FloatArray,
    bearing_deg: FloatArray,
) -> LevelField:
    """The random levels of all candidates at the stop."""
    site_of = _sites(candidates)
    place_m = np.hypot(
        observation.position_sigma_m, np.array([c.position_sigma_m for c in candidates])
    )
    nodes, node_weight = normal_nodes(DIRECTION_NODES)
    towards = bearing_deg + 180.0 + nodes[:, None] * _direction_sigma_deg(place_m, distance_m)
    loss = arrays.loss_db(distance_m)
    farther = arrays.loss_db(np.minimum(distance_m + place_m, REACH_M))
    place_db = np.minimum(farther - loss, LARGEST_PLACE_SIGMA_DB)
    return LevelField(
        site_of=site_of,
        peak_dbm=arrays.element_eirp_dbm - loss,
        gain_db=arrays.gain_db(towards.T, distance_m),
        direction_weight=node_weight,
        azimuth_weight=arrays.azimuth_weight,
        on_air=np.array([c.on_air for c in candidates]),
        site_on_air=_per_site(np.array([[c.site_on_air for c in candidates]]), site_of)[0],
        los_probability=_los(candidates, site_of, distance_m),
        shadow_db=_per_site(arrays.shadow_db(), site_of),
        site_sigma_db=_per_site(np.hypot(arrays.eirp_sigma_db, place_db), site_of),
        unlisted=_unlisted(observation, arrays, distance_m),
    )


def _direction_sigma_deg(place_m: FloatArray, distance_m: FloatArray) -> FloatArray:
    """Uncertainty of the direction to a site by both positions, common to its sectors.

    Far away it is their ratio to the distance; right beneath, any direction is as likely.
    """
    return np.minimum(np.degrees(place_m / np.maximum(distance_m, 0.1)), WIDEST_SIGMA_DEG)


def _sites(candidates: Sequence[Candidate]) -> IntArray:
    """Index of each candidate's site: by its id, or by its place to about a metre."""
    known: dict[object, int] = {}
    keys = (c.site_id or (round(c.lat_deg, 5), round(c.lon_deg, 5)) for c in candidates)
    return np.array([known.setdefault(key, len(known)) for key in keys], dtype=np.intp)


def _los(candidates: Sequence[Candidate], site_of: IntArray, distance_m: FloatArray) -> FloatArray:
    """Probability of line of sight per site (m): told, else worked out, else TR 38.901's."""
    los = np.empty(int(np.max(site_of)) + 1)
    street, roofs = (los_probability(s, distance_m) for s in (Scenario.UMI, Scenario.UMA))
    for index in reversed(range(len(candidates))):
        candidate = candidates[index]
        if candidate.view is not None:
            value = VIEW_LOS[candidate.view]
        elif candidate.los_probability is not None:
            value = candidate.los_probability
        else:
            value = float((roofs if candidate.height_m >= ROOF_M else street)[index])
        los[site_of[index]] = value
    return los


def _per_site(values: FloatArray, site_of: IntArray) -> FloatArray:
    """Largest value (kinds, m) among each site's sectors of values (kinds, n)."""
    result = np.zeros((len(values), int(np.max(site_of)) + 1))
    for kind, told in enumerate(values):
        np.maximum.at(result[kind], site_of, told)
    return result


def _unlisted(observation: Observation, arrays: Panels, distance_m: FloatArray) -> UnlistedField:
    """Unlisted panels like the listed ones, as dense as the share tells."""
    return UnlistedField(
        density_per_m2=density_per_m2(distance_m, observation.unlisted_share),
        mhz=observation.mhz or float(np.median(arrays.mhz)),
        element_eirp_dbm=float(np.median(arrays.element_eirp_dbm)),
    )


def _moments(field: LevelField) -> tuple[FloatArray, FloatArray]:
    """Mean and standard deviation (n) of each sector's level over all that is uncertain."""
    weight = field.direction_weight[:, None] * field.azimuth_weight[:, None, :]
    gain = np.sum(field.gain_db * weight, axis=(1, 2))
    gain_variance = np.sum(field.gain_db**2 * weight, axis=(1, 2)) - gain**2
    variance = (field.shadow_db**2 + field.site_sigma_db**2)[:, field.site_of]
    los = field.los_weight[:, field.site_of]
    peak = np.sum(field.peak_dbm * los, axis=0)
    spread = np.sum(los * (field.peak_dbm**2 + variance), axis=0) - peak**2
    return peak + gain, np.sqrt(np.maximum(spread + gain_variance, 0.0) + OWN_SIGMA_DB**2)
