"""How many bits an observation is expected to tell about which sector serves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from surveyapp.geometry.panels import AZIMUTH_NODES
from surveyapp.geometry.serving_posterior import Posterior
from surveyapp.geometry.smoothing import FloatArray
from surveyapp.geometry.strongest import strongest

CONTENDERS = 6
DIRECTIONS = 6  # a panel's direction is judged by eye to some 60 degrees


def entropy_bits(probability: FloatArray) -> float:
    """Shannon entropy in bits."""
    positive = probability[probability > 0.0]
    return float(-np.sum(positive * np.log2(positive)))


def information_bits(joint: FloatArray) -> float:
    """Mutual information in bits of a joint probability (hypotheses, outcomes)."""
    joint = joint / joint.sum()
    return (
        entropy_bits(joint.sum(axis=1))
        + entropy_bits(joint.sum(axis=0))
        - entropy_bits(joint.ravel())
    )


def azimuth_bits(found: Posterior, index: int) -> float:
    """What the direction of one panel would tell, tried on the leading contenders.

    The serving question is asked again with the panel known to look into each sixth of its
    possible azimuths.
    """
    leading = np.argsort(-found.probability[:-1])[:CONTENDERS]
    place = int(np.flatnonzero(leading == index)[0])
    field = found.joint.field.take(leading)
    pci_weight = np.append(found.pci_weight[leading], found.pci_weight[-1])
    columns = []
    for nodes in np.array_split(np.arange(AZIMUTH_NODES), DIRECTIONS):
        weight = field.azimuth_weight.copy()
        weight[place] = 0.0
        weight[place, nodes] = field.azimuth_weight[place, nodes]
        chance = weight[place].sum()
        weight[place] /= chance
        joint = strongest(replace(field, azimuth_weight=weight), found.joint.level_dbm)
        columns.append(chance * (joint.everything @ found.level_weight) * pci_weight)
    return information_bits(np.column_stack(columns))
