"""Levels around a sector nobody has read yet, as TR 38.901 has them for its kind.

The same candidates, defaults and spreads as in the serving question. With the ground's
buildings a place counts as in sight with the odds that the serving question gives them,
without buildings with the odds of TR 38.901 table 7.4.2-1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from surveyapp.analysis.candidates import GROUND_BLOCKED, GROUND_CLEAR, candidates_at
from surveyapp.analysis.level_model import Levels, Part
from surveyapp.analysis.sector_panel import BoolArray, SectorPanel, Ways, panel_of
from surveyapp.errors import NoAnswer
from surveyapp.geometry.panels import Panels, panels
from surveyapp.geometry.serving_terms import ROOF_M, Candidate, Observation
from surveyapp.geometry.strongest import OWN_SIGMA_DB
from surveyapp.model import Rat, Sector, Site, Stop, StopScene, Survey
from surveyapp.radio.propagation import Scenario, los_probability

FARTHEST_M = 5000.0  # validity of TR 38.901's losses
_NO_TIME = datetime(2000, 1, 1, tzinfo=UTC)  # a stop must have a time; nothing here reads it


@dataclass(frozen=True, kw_only=True, slots=True)
class PredictedLevels:
    """A level model (surveyapp.analysis.level_model) out of the standard alone."""

    panel: SectorPanel
    candidate: Candidate
    arrays: Panels

    @property
    def on_air(self) -> float:
        """Probability that the sector is on air with such a carrier."""
        return self.candidate.on_air * self.candidate.site_on_air

    def levels(self, ways: Ways, clear: BoolArray | None = None) -> Levels:
        """Levels at places, with and without line of sight."""
        reach = np.minimum(ways.ground_m, FARTHEST_M)
        loss = self.arrays.loss_db(reach[..., None])[..., 0]
        fading = self.arrays.shadow_db()[:, 0]
        other = np.full(reach.shape, np.hypot(self.arrays.eirp_sigma_db[0], OWN_SIGMA_DB))
        in_sight = self._in_sight(ways, clear)
        mean = float(self.arrays.element_eirp_dbm[0]) + ways.gain_db
        return Levels(
            tuple(
                Part(weight, mean - loss[..., kind], np.full(reach.shape, fading[kind]), other)
                for kind, weight in ((0, in_sight), (1, 1.0 - in_sight))
            )
        )

    def _in_sight(self, ways: Ways, clear: BoolArray | None) -> np.ndarray:
        if clear is not None:
            return np.where(clear, GROUND_CLEAR, GROUND_BLOCKED)
        kind = Scenario.UMA if self.candidate.height_m >= ROOF_M else Scenario.UMI
        return los_probability(kind, ways.ground_m)


def predicted_levels(
    site: Site, sectors: Sequence[Sector], rat: Rat = Rat.NR, operator: str = ""
) -> tuple[PredictedLevels, ...]:
    """One model for each sector of a site that may hold a carrier of `rat` and has an azimuth.

    Raises NoAnswer for a site without a position.
    """
    made = {sector.id: panel_of(site, sector) for sector in sectors}
    found = candidates_at(scene_of([site], sectors), rat, None, operator)
    return tuple(
        PredictedLevels(panel=made[one.sector_id], candidate=one, arrays=_arrays(one))
        for one in found
        if made[one.sector_id].azimuth_deg is not None
    )


def scene_of(sites: Sequence[Site], sectors: Sequence[Sector]) -> StopScene:
    """Sites and sectors as if seen from the first site, for asking about candidates."""
    if not sites:
        raise NoAnswer("There is no site: note one first.")
    stop = Stop(
        survey_id="",
        number=0,
        time_utc=_NO_TIME,
        lat_deg=sites[0].lat_deg,
        lon_deg=sites[0].lon_deg,
    )
    return StopScene(survey=Survey(title=""), stop=stop, sites=tuple(sites), sectors=tuple(sectors))


def _arrays(candidate: Candidate) -> Panels:
    return panels([candidate], Observation(lat_deg=candidate.lat_deg, lon_deg=candidate.lon_deg))
