"""Which sector serves at a stop: probabilities, reasons, and what would settle it.

The answer is the probability that a sector is the strongest here (surveyapp.geometry.
strongest), weighed by what was measured (surveyapp.geometry.serving_posterior). A phone is
served by the strongest cell of its carrier but for a handover margin of a few decibels (3GPP
TS 38.331, event A3), which the spread between panels covers.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from surveyapp.geometry.serving_posterior import Posterior, posterior
from surveyapp.geometry.serving_terms import Candidate, Observation, Ranked, ServingAnswer
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.serving_words import no_sector_answer, reasons
from surveyapp.geometry.settle import settle

__all__ = ["Candidate", "Observation", "Ranked", "ServingAnswer", "serving"]


def serving(observation: Observation, candidates: Sequence[Candidate]) -> ServingAnswer:
    """Rank the candidates by the probability that they serve, with 'none of these' last.

    Without any candidate within 5 km the answer is 'none' for certain. Impossible values are
    refused when Candidate and Observation are built.
    """
    found = posterior(observation, candidates)
    if found is None:
        return no_sector_answer()
    order = np.argsort(-found.probability[:-1], kind="stable")
    ranking = [_ranked(found, int(index)) for index in order]
    none = Ranked(sector_id=None, name=NONE_NAME, probability=float(found.probability[-1]))
    return ServingAnswer(ranking=(*ranking, none), settle=settle(found), reasons=reasons(found))


def _ranked(found: Posterior, index: int) -> Ranked:
    """One candidate's entry."""
    prediction = found.prediction
    candidate = prediction.candidates[index]
    known = candidate.azimuth_deg is not None
    return Ranked(
        sector_id=candidate.identity,
        name=candidate.name,
        probability=float(found.probability[index]),
        off_boresight_deg=abs(float(prediction.off_deg[index])) if known else None,
        distance_m=float(prediction.distance_m[index]),
        bearing_deg=float(prediction.bearing_deg[index]),
        predicted_rsrp_dbm=float(prediction.level_dbm[index]),
        predicted_sigma_db=float(prediction.spread_db[index]),
    )
