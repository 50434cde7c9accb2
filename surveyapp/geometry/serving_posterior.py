"""The posterior over which sector serves: the level field weighed by what was measured.

The measured RSRP is a noisy look at the strongest level itself, so it is worked in under the
integral over that level rather than sector by sector afterwards. The PCI then weighs each
sector by how well it agrees.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from surveyapp.geometry.serving_prediction import Prediction, predict
from surveyapp.geometry.serving_terms import Candidate, Observation
from surveyapp.geometry.smoothing import STEP_DB, FloatArray
from surveyapp.geometry.strongest import Strongest, strongest

READING_SIGMA_DB = 1.5  # a phone's figure at rest flickers by this much; common practice
PCI_ERROR = 0.02  # a PCI wrongly recorded or wrongly read; our assumption
PCI_COUNT = 1008  # TS 38.211 clause 7.4.2.1
WIDEST_LEVELS_DB = 140.0
RARE = 1e-6


@dataclass(frozen=True, slots=True)
class Posterior:
    """All that an answer is drawn from; the last entry of `probability` (n + 1) is 'none'.

    `level_weight` (levels) and `pci_weight` (n + 1) are the likelihoods of what was measured.
    """

    observation: Observation
    prediction: Prediction
    joint: Strongest
    level_weight: FloatArray
    pci_weight: FloatArray
    probability: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "probability", self.weigh(self.joint.everything))

    def mass(self, joint: FloatArray) -> FloatArray:
        """Probability (n + 1) of being strongest and of the evidence, from a joint density."""
        return np.asarray((joint @ self.level_weight) * self.pci_weight * STEP_DB)

    def weigh(self, joint: FloatArray) -> FloatArray:
        """Probabilities (n + 1) from any joint density (n + 1, levels), with the evidence."""
        mass = self.mass(joint)
        return np.asarray(mass / mass.sum())


def posterior(observation: Observation, candidates: Sequence[Candidate]) -> Posterior | None:
    """The posterior behind an answer, or None without a candidate within reach."""
    prediction = predict(observation, candidates)
    if prediction is None:
        return None
    joint = strongest(prediction.field, _levels(observation, prediction))
    return Posterior(
        observation=observation,
        prediction=prediction,
        joint=joint,
        level_weight=_level_weight(observation, joint.level_dbm),
        pci_weight=_pci_weight(observation, prediction.candidates),
    )


def reading_sigma_db(observation: Observation) -> float:
    """Standard deviation of a reading about the true level: flicker and the phone's offset."""
    return float(np.hypot(READING_SIGMA_DB, observation.phone_sigma_db))


def pci_likelihood(read: int, recorded: int | None) -> float:
    """Probability that the phone shows `read` when a sector recorded with `recorded` serves."""
    if recorded is None:
        return 1.0 / PCI_COUNT
    return 1.0 - PCI_ERROR if read == recorded else PCI_ERROR / (PCI_COUNT - 1)


def _levels(observation: Observation, prediction: Prediction) -> FloatArray:
    """An even grid of levels that holds the strongest and the measured one.

    Below it the strongest hardly ever lies: the sectors' own distributions, taken as
    independent and logistic (whose tails are the longer), tell where.
    """
    mean, spread = prediction.level_dbm, prediction.spread_db
    highest = float(np.max(mean + 5.0 * spread))
    coarse = np.arange(highest - WIDEST_LEVELS_DB, highest, 4.0)
    below = 1.0 / (1.0 + np.exp(-1.7 * (coarse[:, None] - mean) / spread))
    on_air = prediction.on_air
    all_below = np.prod(1.0 - on_air + on_air * below, axis=1)
    lowest = float(coarse[max(int(np.searchsorted(all_below, RARE)) - 1, 0)])
    if observation.rsrp_dbm is not None:
        level = observation.rsrp_dbm - observation.phone_offset_db
        reach = 5.0 * reading_sigma_db(observation)
        highest, lowest = max(highest, level + reach), min(lowest, level - reach)
    return np.arange(np.floor(lowest), np.ceil(highest) + STEP_DB, STEP_DB)


def _level_weight(observation: Observation, level_dbm: FloatArray) -> FloatArray:
    """Likelihood (levels) of the measured RSRP, or ones without."""
    if observation.rsrp_dbm is None:
        return np.ones_like(level_dbm)
    expected = level_dbm + observation.phone_offset_db
    apart = (observation.rsrp_dbm - expected) / reading_sigma_db(observation)
    return np.exp(-0.5 * apart**2)


def _pci_weight(observation: Observation, candidates: Sequence[Candidate]) -> FloatArray:
    """Likelihood (n + 1) of the PCI read, or ones without."""
    if observation.pci is None:
        return np.ones(len(candidates) + 1)
    recorded = [*(c.pci for c in candidates), None]
    return np.array([pci_likelihood(observation.pci, pci) for pci in recorded])
