"""The best anyone could answer who has the notebook and knows every law of the world.

For each stop thousands of worlds are drawn that fit what the notebook holds: the surveyor's
and the sites' true places in the plane, azimuths, EIRPs, views, fading, unlisted panels. How
often a sector is the strongest, weighed by how well a world explains what was measured, is
the answer. No quadrature, and positions err in two dimensions, the stop's for all sites alike.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from surveyapp.geometry.geodesy import inverse
from surveyapp.geometry.serving_terms import resource_elements
from surveyapp.geometry.strongest import OWN_SIGMA_DB
from surveyapp.geometry.unlisted import SIGMA_DB, density_per_m2
from surveyapp.model import Rat, View
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, los_probability, path_loss_db, shadow_sigma_db
from tests.benchmarks import serving_cases as world

FloatArray = NDArray[np.float64]
DRAWS = 5000
UNLISTED_RADIUS_M = 1000.0


def told_views(case: world.Case) -> world.Case:
    """The case as it is when the surveyor looked at each site and told the view."""
    ours = tuple(replace(c, view=o.view) for c, o in zip(case.ours, case.oracle, strict=True))
    return replace(case, ours=ours)


def drawn_levels(case: world.Case, rng: np.random.Generator, draws: int = DRAWS) -> FloatArray:
    """Levels (draws, n + 1) of the listed sectors and the strongest unlisted one."""
    ids = sorted({c.site_id for c in case.ours})
    shared = rng.standard_normal(draws)
    stood = world.STOP_SIGMA_M * rng.standard_normal((2, draws))
    element = _usual_dbm(case.mhz) - 10.0 * np.log10(resource_elements(Rat.NR, case.mhz, None))
    levels = np.empty((draws, len(case.ours) + 1))
    for site in ids:
        members = [i for i, c in enumerate(case.ours) if c.site_id == site]
        first = case.ours[members[0]]
        line = inverse(*case.recorded_stop_deg, first.lat_deg, first.lon_deg)
        turn = np.radians(line.azimuth_deg)
        off = world.SITE_SIGMA_M * rng.standard_normal((2, draws)) - stood
        east = line.distance_m * np.sin(turn) + off[0]
        north = line.distance_m * np.cos(turn) + off[1]
        distance, bearing = np.hypot(east, north), np.degrees(np.arctan2(east, north))
        chance = {View.CLEAR: 1.0, View.BLOCKED: 0.0}.get(first.view, first.los_probability)  # type: ignore[arg-type]
        clear = rng.random(draws) < chance
        common = element + world.EIRP_SIGMA_DB * rng.standard_normal(draws)
        common -= path_loss_db(
            Scenario.UMI, distance, case.mhz, los=clear, base_height_m=world.HEIGHT_M
        )
        common += _fading(clear, shared, rng)
        elevation = np.degrees(np.arctan2(1.5 - world.HEIGHT_M, distance)) + 5.0
        for i in members:
            azimuth = case.ours[i].azimuth_deg + world.AZIMUTH_SIGMA_DEG * rng.standard_normal(
                draws
            )
            gain = pattern_db(bearing + 180.0 - azimuth, elevation)
            level = common + gain + OWN_SIGMA_DB * rng.standard_normal(draws)
            levels[:, i] = np.where(rng.random(draws) < world.ON_AIR, level, -np.inf)
    levels[:, -1] = _unlisted(case, element, shared, rng)
    return levels


def weighed(levels: FloatArray, case: world.Case, *, rsrp: bool, pci: bool) -> FloatArray:
    """Probabilities (n + 1) from drawn levels; each hypothesis gets half a draw for free."""
    winner, best = levels.argmax(axis=1), levels.max(axis=1)
    weight = np.ones(len(best))
    if rsrp:
        sigma = np.hypot(world.READING_SIGMA_DB, world.PHONE_SIGMA_DB)
        weight = np.exp(-0.5 * ((case.rsrp_dbm - best) / sigma) ** 2)
    share = np.bincount(winner, weights=weight, minlength=levels.shape[1]) / weight.sum()
    size = weight.sum() ** 2 / (weight**2).sum()
    share = (share * size + 0.5) / (size + 0.5 * len(share))
    if pci:
        share = share * np.array([*(_pci_chance(case.pci, c.pci) for c in case.ours), 1 / 1008])
    return np.asarray(share / share.sum())


def _pci_chance(read: int, recorded: int | None) -> float:
    """Chance of reading a PCI when the sector recorded with another, or none, serves."""
    if recorded is None:
        return 1.0 / 1008.0
    return 1.0 - world.PCI_ERROR if read == recorded else world.PCI_ERROR / 1008.0


def _usual_dbm(mhz: float) -> float:
    """The class's EIRP in the simulated world."""
    return 55.0 if mhz > 24_000.0 else 47.0


def _fading(clear: NDArray[np.bool_], shared: FloatArray, rng: np.random.Generator) -> FloatArray:
    """Shadow fading, half of its variance shared by all sites."""
    sigma = shadow_sigma_db(Scenario.UMI, clear)
    return np.asarray(np.sqrt(0.5) * sigma * (shared + rng.standard_normal(len(shared))))


def _unlisted(
    case: world.Case, element_dbm: float, shared: FloatArray, rng: np.random.Generator
) -> FloatArray:
    """Strongest unlisted level (draws)."""
    far = [inverse(*case.recorded_stop_deg, c.lat_deg, c.lon_deg).distance_m for c in case.ours]
    density = density_per_m2(np.array(far), world.UNLISTED_SHARE)
    counts = rng.poisson(density * np.pi * UNLISTED_RADIUS_M**2, len(shared))
    owner = np.repeat(np.arange(len(shared)), counts)
    distance = UNLISTED_RADIUS_M * np.sqrt(rng.random(len(owner)))
    clear = rng.random(len(owner)) < los_probability(Scenario.UMI, distance)
    loss = path_loss_db(Scenario.UMI, distance, case.mhz, los=clear, base_height_m=world.HEIGHT_M)
    turned = rng.uniform(0.0, 360.0, len(owner))
    gain = pattern_db(turned, np.degrees(np.arctan2(1.5 - world.HEIGHT_M, distance)))
    level = element_dbm - loss + gain + _fading(clear, shared[owner], rng)
    best = np.full(len(shared), -np.inf)
    np.maximum.at(best, owner, level + SIGMA_DB * rng.standard_normal(len(owner)))
    return best
