"""Brute force for the serving probability: levels of sectors drawn one by one.

It shares the loss and pattern formulas of `radio` with the program, and none of the
quadrature: geometry by geodesics, each random quantity by a pseudo-random draw.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.serving import Candidate, Observation
from surveyapp.geometry.serving_terms import class_eirp_dbm, resource_elements
from surveyapp.geometry.unlisted import density_per_m2
from surveyapp.model import View
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, los_probability, path_loss_db, shadow_sigma_db

FloatArray = NDArray[np.float64]

READING_SIGMA_DB = 1.5
OWN_SIGMA_DB = 3.5
UNLISTED_SIGMA_DB = 7.8
UNLISTED_RADIUS_M = 3000.0


@dataclass(frozen=True)
class Share:
    """A share estimated by draws, with its standard error, per hypothesis ('none' last)."""

    value: FloatArray
    error: FloatArray


def drawn_share(
    observation: Observation, candidates: Sequence[Candidate], draws: int, seed: int
) -> Share:
    """How often each is the strongest, each draw weighed by the measured RSRP if there is one."""
    rng = np.random.default_rng(seed)
    shared = rng.standard_normal(draws)
    levels = np.column_stack(
        [
            drawn_listed(observation, candidates, shared, rng),
            drawn_unlisted(observation, candidates, shared, rng),
        ]
    )
    winner, best = levels.argmax(axis=1), levels.max(axis=1)
    weight = np.ones(draws)
    if observation.rsrp_dbm is not None:
        sigma = np.hypot(READING_SIGMA_DB, observation.phone_sigma_db)
        apart = (observation.rsrp_dbm - best - observation.phone_offset_db) / sigma
        weight = np.exp(-0.5 * apart**2)
    won = winner[:, None] == np.arange(levels.shape[1])
    value = weight @ won / weight.sum()
    error = np.sqrt((weight**2) @ (won - value) ** 2) / weight.sum()
    return Share(value, error)


def drawn_listed(
    observation: Observation,
    candidates: Sequence[Candidate],
    shared: FloatArray,
    rng: np.random.Generator,
) -> FloatArray:
    """Levels (draws, n) of the listed sectors; -inf where one is off the air."""
    draws = len(shared)
    levels = np.full((draws, len(candidates)), -np.inf)
    for site in dict.fromkeys(c.site_id for c in candidates):
        members = [i for i, c in enumerate(candidates) if c.site_id == site]
        here = candidates[members[0]]
        line = inverse(observation.lat_deg, observation.lon_deg, here.lat_deg, here.lon_deg)
        roof = here.height_m >= 18.0
        scenario = Scenario.UMA if roof else Scenario.UMI
        chance = {View.CLEAR: 1.0, View.PARTLY: 0.5, View.BLOCKED: 0.0, None: None}[here.view]
        if chance is None:
            chance = here.los_probability
        if chance is None:
            chance = float(los_probability(scenario, line.distance_m))
        clear = rng.random(draws) < chance
        place_m = float(np.hypot(observation.position_sigma_m, here.position_sigma_m))
        turned = np.minimum(np.degrees(place_m / line.distance_m), 104.0)
        towards = line.azimuth_deg + 180.0 + turned * rng.standard_normal(draws)
        sigma = shadow_sigma_db(scenario, clear)
        fading = np.sqrt(0.5) * sigma * (shared + rng.standard_normal(draws))
        site_draw = rng.standard_normal(draws)
        on_air = here.site_on_air == 1.0 or rng.random(draws) < here.site_on_air
        for i in members:
            c = candidates[i]
            mhz = c.mhz or observation.mhz or 3500.0
            whole = class_eirp_dbm(mhz, c.height_m) if c.eirp_dbm is None else c.eirp_dbm
            element = whole - 10.0 * np.log10(resource_elements(c.rat, mhz, c.bandwidth_mhz))
            spread = c.eirp_sigma_db
            if spread is None:
                spread = 7.0 if c.eirp_dbm is None else 3.0

            loss = path_loss_db(scenario, line.distance_m, mhz, los=clear, base_height_m=c.height_m)
            far = path_loss_db(
                scenario, line.distance_m + place_m, mhz, los=clear, base_height_m=c.height_m
            )
            farther = np.minimum(far - loss, 6.0)
            if c.azimuth_deg is None:
                azimuth = rng.uniform(0.0, 360.0, draws)
            else:
                azimuth = c.azimuth_deg + c.azimuth_sigma_deg * rng.standard_normal(draws)
            elevation = np.degrees(np.arctan2(observation.height_m - c.height_m, line.distance_m))
            gain = pattern_db(
                towards - azimuth, elevation + c.downtilt_deg, beamwidth_deg=c.beamwidth_deg
            )
            level = element - loss + gain + fading
            level += np.hypot(spread, farther) * site_draw
            level += OWN_SIGMA_DB * rng.standard_normal(draws)
            levels[:, i] = np.where(on_air & (rng.random(draws) < c.on_air), level, -np.inf)
    return levels


def drawn_unlisted(
    observation: Observation,
    candidates: Sequence[Candidate],
    shared: FloatArray,
    rng: np.random.Generator,
) -> FloatArray:
    """Strongest unlisted level (draws) of a Poisson field; -inf where it is empty."""
    mhz = [c.mhz or observation.mhz or 3500.0 for c in candidates]
    element = float(
        np.median(
            [
                (class_eirp_dbm(f, c.height_m) if c.eirp_dbm is None else c.eirp_dbm)
                - 10.0 * np.log10(resource_elements(c.rat, f, c.bandwidth_mhz))
                for c, f in zip(candidates, mhz, strict=True)
            ]
        )
    )
    lines = [
        inverse(observation.lat_deg, observation.lon_deg, c.lat_deg, c.lon_deg) for c in candidates
    ]
    density = density_per_m2(
        np.array([line.distance_m for line in lines]), observation.unlisted_share
    )
    counts = rng.poisson(density * np.pi * UNLISTED_RADIUS_M**2, len(shared))
    total = int(counts.sum())
    owner = np.repeat(np.arange(len(shared)), counts)
    distance = UNLISTED_RADIUS_M * np.sqrt(rng.random(total))
    clear = rng.random(total) < los_probability(Scenario.UMI, distance)
    frequency = observation.mhz or float(np.median(mhz))
    loss = path_loss_db(Scenario.UMI, distance, frequency, los=clear, base_height_m=8.0)
    gain = pattern_db(rng.uniform(-180.0, 180.0, total), np.degrees(np.arctan2(-6.5, distance)))
    sigma = shadow_sigma_db(Scenario.UMI, clear)
    fading = np.sqrt(0.5) * sigma * (shared[owner] + rng.standard_normal(total))
    level = element - loss + gain + fading + UNLISTED_SIGMA_DB * rng.standard_normal(total)
    best = np.full(len(shared), -np.inf)
    np.maximum.at(best, owner, level)
    return best
