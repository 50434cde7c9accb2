"""Sectors that the notebook does not list, as a Poisson field around the stop.

Panels of street-level sites lie about at random with a stated density, look anywhere, and
are heard as TR 38.901's street canyon tells. The strongest of them stays below a level r with
probability exp(-expected number above r), the void probability of a Poisson field.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from surveyapp.geometry.smoothing import (
    FINE_STEP_DB,
    FloatArray,
    place_on_grid,
    smooth,
)
from surveyapp.radio.antenna import pattern_db
from surveyapp.radio.propagation import Scenario, los_probability, path_loss_db, shadow_sigma_db

HEIGHT_M = 8.0  # antennas of street-level sites, common practice
SIGMA_DB = 7.8  # EIRP class and the panel's own departure, besides fading
NEAREST_M, FARTHEST_M = 1.0, 3000.0
GRID_START_DB, GRID_SIZE = -250.0, 256
BETWEEN_SITES = 0.5
SMALLEST_CIRCLE_M, LARGEST_CIRCLE_M = 150.0, 500.0


def density_per_m2(distance_m: FloatArray, share: float) -> float:
    """Unlisted panels per square metre, `share` for each listed one.

    The listed ones are counted in the circle about the stop, of SMALLEST_CIRCLE_M to
    LARGEST_CIRCLE_M, that holds them most densely: sites crowd where surveyors look.
    """
    radius = np.clip(np.sort(distance_m), SMALLEST_CIRCLE_M, LARGEST_CIRCLE_M)
    count = np.searchsorted(np.sort(distance_m), radius, side="right")
    densest = np.max(np.maximum(count, 1) / radius**2, initial=1.0 / LARGEST_CIRCLE_M**2)
    return float(share * densest / np.pi)


@dataclass(frozen=True, slots=True)
class UnlistedField:
    """Unlisted panels: how many per square metre, at which frequency, how strong.

    `element_eirp_dbm` is the EIRP per resource element at the peak of the beam.
    """

    density_per_m2: float
    mhz: float
    element_eirp_dbm: float

    def at(self, level_dbm: FloatArray, shared: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Density per dB of the strongest unlisted level, and P(all below), (nodes, levels).

        `shared` holds the standard normal part of fading that all sites have in common.
        """
        start_db, rates, above = unit_field(round(self.mhz))
        rate = np.zeros((len(shared), len(level_dbm)))
        number = np.zeros_like(rate)
        for kind, los in enumerate((True, False)):
            common = np.sqrt(BETWEEN_SITES) * shadow_sigma_db(Scenario.UMI, los) * shared
            level = level_dbm - self.element_eirp_dbm - common[:, None]
            place = start_db + FINE_STEP_DB * np.arange(rates.shape[-1])
            rate += np.interp(level, place, rates[kind])
            number += np.interp(level, place, above[kind])
        below = np.exp(-self.density_per_m2 * number)
        return self.density_per_m2 * rate * below, below


@lru_cache(maxsize=16)
def unit_field(mhz: int) -> tuple[float, FloatArray, FloatArray]:
    """One panel per square metre: start in dB, numbers per dB and numbers above, (2, samples).

    Levels count from the EIRP per resource element; the first axis is with and without line
    of sight. The part of fading that all sites share is left out.
    """
    edges = np.geomspace(NEAREST_M, FARTHEST_M, 97)
    distance = np.sqrt(edges[1:] * edges[:-1])
    area = np.pi * (edges[1:] ** 2 - edges[:-1] ** 2)
    off = np.linspace(-175.0, 175.0, 36)
    elevation = np.degrees(np.arctan2(1.5 - HEIGHT_M, distance))
    gain = pattern_db(off[None, :], elevation[:, None])
    seen = los_probability(Scenario.UMI, distance)
    rows, weights, sigmas = [], [], []
    for los, share in ((True, seen), (False, 1.0 - seen)):
        loss = path_loss_db(Scenario.UMI, distance, mhz, los=los, base_height_m=HEIGHT_M)
        rows.append((gain - loss[:, None]).ravel())
        weights.append(np.broadcast_to((area * share / len(off))[:, None], gain.shape).ravel())
        sigmas.append(
            np.sqrt((1.0 - BETWEEN_SITES) * shadow_sigma_db(Scenario.UMI, los) ** 2 + SIGMA_DB**2)
        )
    masses = place_on_grid(np.stack(rows), np.stack(weights), GRID_START_DB, GRID_SIZE)
    table = smooth(masses, GRID_START_DB, np.stack(sigmas))
    below = table.below()
    above = np.maximum(below[:, -1:] - below, 0.0)
    return table.start_db, table.density, above
