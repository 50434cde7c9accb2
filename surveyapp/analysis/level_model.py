"""How levels around a panel are described: a mixture of normal or Student's t levels.

The part of fading that all sites share is kept apart, so that the chance that any of several
sites covers a place can be worked out (correlation 0.5 between sites, 1 within a site: 3GPP
system evaluations, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from surveyapp.analysis.sector_panel import BoolArray, FloatArray, SectorPanel, Ways
from surveyapp.geometry.strongest import BETWEEN_SITES
from surveyapp.radio.propagation import Scenario, path_loss_db, shadow_sigma_db

BLOCKED_SIGMA_DB = float(shadow_sigma_db(Scenario.UMI, los=False))


class Part(NamedTuple):
    """One way things can be: its weight, and the level's mean and spreads, over the places.

    `fading_db` is the standard deviation of shadow fading, `other_db` that of all else.
    `degrees` is that of Student's t, None where the level is normal.
    """

    weight: FloatArray
    mean_dbm: FloatArray
    fading_db: FloatArray
    other_db: FloatArray
    degrees: int | None = None


@dataclass(frozen=True, slots=True)
class Levels:
    """What a panel should deliver at many places."""

    parts: tuple[Part, ...]

    @property
    def mean_dbm(self) -> FloatArray:
        """The mean level over all parts."""
        return np.asarray(sum(part.weight * part.mean_dbm for part in self.parts))


class LevelModel(Protocol):
    """A panel with a way to tell levels around it."""

    @property
    def panel(self) -> SectorPanel:
        """The panel."""

    @property
    def on_air(self) -> float:
        """Probability that it is on air at all."""

    def levels(self, ways: Ways, clear: BoolArray | None = None) -> Levels:
        """Levels at places; `clear` tells where buildings leave the sight free."""


def blocked_loss_db(ground_m: FloatArray, height_m: float, mhz: float) -> FloatArray:
    """What a blocked sight takes over a free one: TR 38.901 table 7.4.1-1, street canyon."""
    reach = np.clip(ground_m, 1.0, 5000.0)
    base = max(height_m, 2.0)
    without, with_sight = (
        path_loss_db(Scenario.UMI, reach, mhz, los=los, base_height_m=base) for los in (False, True)
    )
    return np.asarray(without - with_sight)


def shared_share() -> float:
    """Share of a site's shadow fading, as an amplitude, that all sites have in common."""
    return float(np.sqrt(BETWEEN_SITES))
