"""Chance that a level reaches a threshold, at many places at once, from one or more sites.

Within a site shadow fading is common to its sectors, so the best of them decides; between
sites it is correlated by 0.5, taken by Gauss-Hermite quadrature over the shared part.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from surveyapp.analysis.intervals import chance_below
from surveyapp.analysis.level_model import LevelModel, Levels, Part, shared_share
from surveyapp.analysis.sector_panel import BoolArray, FloatArray
from surveyapp.errors import NoAnswer
from surveyapp.geometry.plan_projection import Plane
from surveyapp.geometry.serving_terms import check_range
from surveyapp.geometry.serving_values import RSRP_RANGE_DBM
from surveyapp.geometry.smoothing import normal_nodes

SHARED_NODES = 5


def check_threshold(threshold_dbm: float) -> None:
    """Refuse a threshold outside what a phone can report (TS 38.133 clause 10.1.6)."""
    check_range(threshold_dbm, *RSRP_RANGE_DBM, "threshold", "dBm", "the cover")


def cover_chance(
    models: Sequence[LevelModel],
    plane: Plane,
    east_m: FloatArray,
    north_m: FloatArray,
    threshold_dbm: float,
    clear: Sequence[BoolArray | None] | None = None,
) -> FloatArray:
    """Chance, of the places' shape, that at least one sector reaches the threshold there.

    `clear` holds, for each model, where buildings leave the sight free (None: not known).
    Raises NoAnswer without a model, OutOfRange for a threshold no phone reports.
    """
    check_threshold(threshold_dbm)
    if not models:
        raise NoAnswer("No sector to work out cover for: note one with its azimuth.")
    sight = clear if clear is not None else [None] * len(models)
    levels = [
        model.levels(model.panel.ways(plane, east_m, north_m), one)
        for model, one in zip(models, sight, strict=True)
    ]
    sites = _sites(models)
    if len(sites) == 1:
        return _best(models, levels, sites[0], threshold_dbm, None)
    uncovered = np.zeros(np.broadcast(east_m, north_m).shape)
    nodes, weights = normal_nodes(SHARED_NODES)
    for node, weight in zip(nodes, weights, strict=True):
        none = np.full(uncovered.shape, float(weight))
        for site in sites:
            none *= 1.0 - _best(models, levels, site, threshold_dbm, float(node))
        uncovered += none
    return np.asarray(1.0 - uncovered)


def chance_of(levels: Levels, threshold_dbm: float, shared: float | None = None) -> FloatArray:
    """Chance that a level reaches the threshold; `shared` is what all sites' fading has in
    common, in standard deviations, None for the chance over all of it.
    """
    return np.asarray(
        sum(part.weight * _part_chance(part, threshold_dbm, shared) for part in levels.parts)
    )


def _part_chance(part: Part, threshold_dbm: float, shared: float | None) -> FloatArray:
    if shared is None:
        over, own = part.mean_dbm - threshold_dbm, part.fading_db
    else:
        common = shared_share()
        over = part.mean_dbm + (common * shared) * part.fading_db - threshold_dbm
        own = part.fading_db * float(np.sqrt(1.0 - common**2))
    spread = np.sqrt(own**2 + part.other_db**2)
    return chance_below(over / np.maximum(spread, 1e-6), part.degrees)


def _best(
    models: Sequence[LevelModel],
    levels: Sequence[Levels],
    site: Sequence[int],
    threshold_dbm: float,
    shared: float | None,
) -> FloatArray:
    """Chance that the best of a site's sectors reaches the threshold."""
    best: FloatArray | None = None
    for index in site:
        chance = models[index].on_air * chance_of(levels[index], threshold_dbm, shared)
        best = chance if best is None else np.maximum(best, chance)
    assert best is not None
    return best


def _sites(models: Sequence[LevelModel]) -> list[list[int]]:
    """Indexes of the models by site."""
    grouped: dict[object, list[int]] = {}
    for index, model in enumerate(models):
        panel = model.panel
        key = panel.site_id or (round(panel.lat_deg, 5), round(panel.lon_deg, 5))
        grouped.setdefault(key, []).append(index)
    return list(grouped.values())
