"""How far a sector covers along its boresight, with the interval that its fit allows.

The interval holds every distance at which the fitted level cannot be told from the threshold
(E. C. Fieller, J. Royal Statistical Society B 16 (1954) 175-185), so it may be open at its
far end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.cover_chance import check_threshold
from surveyapp.analysis.intervals import student_quantile
from surveyapp.analysis.sector_fit import SectorFit
from surveyapp.analysis.sector_panel import FloatArray, Ways
from surveyapp.errors import NoAnswer

NEAREST_M, FARTHEST_M = 1.0, 5000.0
_STEPS = 4000


@dataclass(frozen=True, kw_only=True, slots=True)
class BoresightRange:
    """Distance along the ground to which half of all places are covered, and its interval.

    `high_m` is None where the readings set no far end within FARTHEST_M, `low_m` 0 where they
    set no near one. `measured_to_m` is the farthest reading; what lies beyond is a guess.
    """

    range_m: float
    low_m: float
    high_m: float | None
    chance: float
    measured_to_m: float

    @property
    def beyond_readings(self) -> bool:
        """Whether the range lies farther out than anybody measured."""
        return self.range_m > self.measured_to_m


def boresight_range(fit: SectorFit, threshold_dbm: float, chance: float = 0.95) -> BoresightRange:
    """The range at a threshold, with the interval that holds it with this chance.

    Raises NoAnswer where the fitted level never falls to the threshold within FARTHEST_M or
    is below it everywhere, OutOfRange for a threshold no phone reports.
    """
    check_threshold(threshold_dbm)
    ground = np.geomspace(NEAREST_M, FARTHEST_M, _STEPS)
    zeros = np.zeros_like(ground)
    ways = Ways(ground, fit.panel.slant_m(ground), fit.panel.gain_db(zeros, ground))
    mean, variance = fit.expected(ways)
    over = mean - threshold_dbm
    reached = np.flatnonzero(over >= 0.0)
    if not reached.size:
        raise NoAnswer(
            f"{fit.panel.name} reaches {threshold_dbm:g} dBm nowhere along its boresight: "
            "choose a lower threshold."
        )
    last = int(reached[-1])
    if last == len(ground) - 1:
        raise NoAnswer(
            f"By its readings {fit.panel.name} stays above {threshold_dbm:g} dBm for "
            f"{FARTHEST_M / 1000:g} km and more: choose a higher threshold, or read it farther off."
        )
    range_m = _crossing(ground, over, last)
    reach = student_quantile(0.5 + chance / 2.0, fit.degrees) * np.sqrt(variance)
    low_m, high_m = _held(ground, over, reach, last)
    return BoresightRange(
        range_m=range_m,
        low_m=low_m,
        high_m=high_m,
        chance=chance,
        measured_to_m=fit.farthest_m,
    )


def _held(
    ground: FloatArray, over: FloatArray, reach: FloatArray, last: int
) -> tuple[float, float | None]:
    """The stretch about the range where the level may be the threshold."""
    surely_above = np.flatnonzero((over - reach > 0.0)[: last + 1])
    surely_below = np.flatnonzero((over + reach < 0.0)[last + 1 :])
    low_m = _crossing(ground, over - reach, int(surely_above[-1])) if surely_above.size else 0.0
    if not surely_below.size:
        return low_m, None
    return low_m, _crossing(ground, over + reach, last + int(surely_below[0]))


def _crossing(ground: FloatArray, over: FloatArray, index: int) -> float:
    """Where `over` falls to zero between two steps, on the logarithm of the distance."""
    share = over[index] / (over[index] - over[index + 1])
    logs = np.log(ground[index : index + 2])
    return float(np.exp(logs[0] + share * (logs[1] - logs[0])))
