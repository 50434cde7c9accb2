"""Which of several sectors is the strongest, by deterministic quadrature over what is random.

The model. A sector's level is its peak level with or without line of sight, plus its pattern
towards the phone, plus fading. Line of sight and fading are common to the sectors of a site;
fading of two sites is correlated by 0.5 (3GPP system evaluations, from memory). The direction
to a site may be off by an error common to its sectors; each azimuth by its own. Panels of one
site differ by OWN_SIGMA_DB. A site may be off the air, or one of its sectors alone. Sites the
notebook lacks lie about as a Poisson field (surveyapp.geometry.unlisted).

The quadrature. Within a site the distribution of its best panel follows from the panels'
distributions, for each direction error; fading is then smoothed in; and given the part of
fading that all sites share (Gauss-Hermite nodes), sites are independent, so the probability
that a sector is the strongest, at a level r, is its density at r times the probability that
every other site stays below r.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from surveyapp.geometry.smoothing import (
    FINE,
    FINE_STEP_DB,
    STEP_DB,
    FloatArray,
    IntArray,
    Smoothed,
    gaussian_kernels,
    normal_nodes,
    place_on_grid,
    smooth,
)
from surveyapp.geometry.unlisted import UnlistedField

# how far one panel departs from its pattern (beamwidth, tilt, bracket); common practice
OWN_SIGMA_DB = 3.5
BETWEEN_SITES = 0.5  # correlation of shadow fading, 3GPP system evaluations, from memory
SHARED_NODES = 7
GRID_START_DB = -54.0
GRID_SIZE = 64
SMALLEST = 1e-300


@dataclass(frozen=True, slots=True)
class LevelField:
    """Levels of n sectors on m sites at one place; first axis 2: with, without line of sight.

    Shapes: site_of (n), peak_dbm (2, n), gain_db (n, directions, azimuths),
    direction_weight (directions), azimuth_weight (n, azimuths), on_air (n), site_on_air (m),
    los_probability (m), shadow_db (2, m), site_sigma_db (2, m).
    """

    site_of: IntArray
    peak_dbm: FloatArray
    gain_db: FloatArray
    direction_weight: FloatArray
    azimuth_weight: FloatArray
    on_air: FloatArray
    site_on_air: FloatArray
    los_probability: FloatArray
    shadow_db: FloatArray
    site_sigma_db: FloatArray
    unlisted: UnlistedField

    @property
    def site_count(self) -> int:
        """Number of sites."""
        return len(self.los_probability)

    def take(self, index: IntArray) -> LevelField:
        """The field of some of the sectors alone."""
        sites, site_of = np.unique(self.site_of[index], return_inverse=True)
        return replace(
            self,
            site_of=np.asarray(site_of, dtype=np.intp),
            peak_dbm=self.peak_dbm[:, index],
            gain_db=self.gain_db[index],
            azimuth_weight=self.azimuth_weight[index],
            on_air=self.on_air[index],
            site_on_air=self.site_on_air[sites],
            los_probability=self.los_probability[sites],
            shadow_db=self.shadow_db[:, sites],
            site_sigma_db=self.site_sigma_db[:, sites],
        )

    def summed(self, values: FloatArray) -> FloatArray:
        """Sums (2, m, x) over each site's sectors of values (2, n, x)."""
        member = (self.site_of == np.arange(self.site_count)[:, None]).astype(np.float64)
        return np.asarray(member @ values)

    @property
    def los_weight(self) -> FloatArray:
        """Probability (2, m) of with and without line of sight."""
        return np.stack([self.los_probability, 1.0 - self.los_probability])


@dataclass(frozen=True, slots=True)
class Strongest:
    """Joint density of 'this one is the strongest' and its level.

    `level_dbm` (levels) is even with STEP_DB; `nodes` (n + 1, nodes, levels), 'none' last,
    are densities per dB before any measurement, split by the part of fading all sites share.
    What follows is kept for conditioning on a line of sight: `own` (2, n, nodes, levels),
    `others` (n, nodes, levels) and `site_below` (2, m, nodes, levels).
    """

    level_dbm: FloatArray
    nodes: FloatArray
    own: FloatArray
    others: FloatArray
    site_below: FloatArray
    field: LevelField

    @property
    def everything(self) -> FloatArray:
        """Joint density (n + 1, levels), 'none' last."""
        return np.asarray(self.nodes.sum(axis=1))

    def given_los(self, site: int, *, clear: bool) -> FloatArray:
        """Joint density (n + 1, levels), 'none' last, had `site` a line of sight or not."""
        kind = 0 if clear else 1
        weight = self.field.los_weight[:, site, None, None]
        below = (weight * self.site_below[:, site]).sum(axis=0)
        change = self.site_below[kind, site] / np.maximum(below, SMALLEST)
        joint = np.asarray(np.einsum("nzr,zr->nr", self.nodes, change))
        here = np.flatnonzero(self.field.site_of == site)
        joint[here] = np.einsum("nzr,nzr->nr", self.own[kind, here], self.others[here])
        return np.asarray(joint)


def strongest(field: LevelField, level_dbm: FloatArray) -> Strongest:
    """Joint density of the strongest and its level on `level_dbm`, an even grid of STEP_DB."""
    nodes, node_weight = normal_nodes(SHARED_NODES)
    reference = _site_reference(field)
    own_table, below_table = _site_tables(field, reference)
    start = _sample_places(field, reference, nodes, own_table.start_db, float(level_dbm[0]))
    count = len(level_dbm)
    own = _read(own_table.density, start[:, field.site_of], count)
    site_below = np.maximum(_read(below_table, start, count), SMALLEST)
    weight = field.los_weight
    below = np.log(np.einsum("lk,lkzr->kzr", weight, site_below))
    none_density, none_below = field.unlisted.at(level_dbm, nodes)
    every = below.sum(axis=0) + np.log(np.maximum(none_below, SMALLEST))
    others = np.exp(every - below)[field.site_of] * node_weight[:, None]
    mixed = np.einsum("ln,lnzr->nzr", weight[:, field.site_of], own)
    none = none_density * np.exp(below.sum(axis=0)) * node_weight[:, None]
    return Strongest(
        level_dbm=level_dbm,
        nodes=np.concatenate([mixed * others, none[None]]),
        own=own,
        others=others,
        site_below=site_below,
        field=field,
    )


def _site_reference(field: LevelField) -> FloatArray:
    """Level (2, m) from which each site's own grid counts: its best panel's usual level."""
    gain = field.gain_db.max(axis=(1, 2))
    reference = np.full((2, field.site_count), -np.inf)
    for kind in range(2):
        np.maximum.at(reference[kind], field.site_of, field.peak_dbm[kind] + gain)
    return reference


def _site_tables(field: LevelField, reference: FloatArray) -> tuple[Smoothed, FloatArray]:
    """Density of a sector being the best of its site (2, n, samples); per site 'below' (2, m)."""
    masses, silent = _best_of_site(field, reference)
    independent = np.sqrt((1.0 - BETWEEN_SITES) * field.shadow_db**2 + field.site_sigma_db**2)
    table = smooth(masses, GRID_START_DB, independent[:, field.site_of])
    table = replace(table, density=table.density * field.site_on_air[field.site_of, None])
    silent = 1.0 - field.site_on_air * (1.0 - silent)
    below = Smoothed(table.start_db, field.summed(table.density)).below() + silent[:, None]
    return table, below


def _best_of_site(field: LevelField, reference: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Masses (2, n, grid) of a sector being the best of its site, and P(all silent) (m).

    Both where the site is on air at all.
    """
    n, directions, azimuths = field.gain_db.shape
    values = (field.peak_dbm - reference[:, field.site_of])[:, :, None, None] + field.gain_db
    weights = np.broadcast_to(field.azimuth_weight[:, None, :], (2, n, directions, azimuths))
    grid = place_on_grid(
        values.reshape(-1, azimuths), weights.reshape(-1, azimuths), GRID_START_DB, GRID_SIZE
    ).reshape(2, n, directions, GRID_SIZE)
    to_density, to_below = gaussian_kernels(GRID_SIZE, OWN_SIGMA_DB)
    on_air = field.on_air[None, :, None, None]
    density = on_air * (grid @ to_density)
    below = np.log(np.maximum(1.0 - on_air + on_air * (grid @ to_below), SMALLEST))
    together = field.summed(below.reshape(2, n, -1)).reshape(2, -1, directions, GRID_SIZE)
    best = density * np.exp(together[:, field.site_of] - below)
    masses = np.einsum("lndb,d->lnb", best, field.direction_weight) * STEP_DB
    silent = np.ones(field.site_count)
    np.multiply.at(silent, field.site_of, 1.0 - field.on_air)
    return _normalised(masses, field, 1.0 - silent), silent


def _normalised(masses: FloatArray, field: LevelField, total: FloatArray) -> FloatArray:
    """Take off what the grid's rounding added: each site's masses sum to `total` (m)."""
    sums = field.summed(masses.sum(axis=-1, keepdims=True))[..., 0]
    factor = total / np.maximum(sums, SMALLEST)
    return np.asarray(masses * factor[:, field.site_of, None])


def _sample_places(
    field: LevelField,
    reference: FloatArray,
    nodes: FloatArray,
    table_start_db: float,
    first_level_dbm: float,
) -> FloatArray:
    """Place (2, m, nodes) of the first level in the tables, in samples."""
    shared = np.sqrt(BETWEEN_SITES) * field.shadow_db[:, :, None] * nodes
    level = first_level_dbm - reference[:, :, None] - shared
    return np.asarray((level - table_start_db) / FINE_STEP_DB)


def _read(table: FloatArray, start: FloatArray, count: int) -> FloatArray:
    """Values (2, rows, nodes, count) of table (2, rows, samples), from `start` (2, rows, nodes)."""
    samples = table.shape[-1]
    floor = np.floor(start)
    share = (start - floor)[..., None]
    step = FINE * np.arange(count)
    index = np.clip(floor.astype(np.intp)[..., None] + step, 0, samples - 2)
    rows = np.arange(2 * table.shape[1]).reshape(2, -1, 1, 1) * samples
    flat = table.reshape(-1)
    lower = flat[index + rows]
    return np.asarray(lower + share * (flat[index + rows + 1] - lower))
