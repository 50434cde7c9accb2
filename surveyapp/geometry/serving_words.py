"""The reasons behind a serving answer, in plain words."""

from __future__ import annotations

import numpy as np

from surveyapp.geometry.serving_posterior import Posterior, reading_sigma_db
from surveyapp.geometry.serving_terms import Ranked, ServingAnswer
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.model import View

BEHIND_DEG = 90.0
WORTH_TELLING = 0.05
AGREES = 1.5  # standard deviations


def no_sector_answer() -> ServingAnswer:
    """The answer where the notebook lists nothing within reach."""
    return ServingAnswer(
        ranking=(Ranked(sector_id=None, name=NONE_NAME, probability=1.0),),
        settle="Look for the site that serves here: take a sighting to each panel in view.",
        reasons=("The notebook lists no sector within 5 km of this stop.",),
    )


def reasons(found: Posterior) -> tuple[str, ...]:
    """Short sentences: the leader's, the runner-up's, and what the measurements say."""
    order = np.argsort(-found.probability[:-1], kind="stable")
    told = [_place(found, int(order[0]))]
    told += _measured(found, int(order[0]))
    if len(order) > 1 and found.probability[order[1]] >= WORTH_TELLING:
        told.append(_place(found, int(order[1])))
    if found.probability[-1] >= WORTH_TELLING:
        told.append(f"An unlisted sector remains possible: {100.0 * found.probability[-1]:.0f} %.")
    return tuple(told)


def _place(found: Posterior, index: int) -> str:
    """Where the stop lies in a sector's beam."""
    prediction = found.prediction
    candidate = prediction.candidates[index]
    distance = f"{prediction.distance_m[index]:.0f} m"
    if candidate.azimuth_deg is None:
        beam = f"it is {distance} away and its azimuth is not known"
    else:
        off = abs(float(prediction.off_deg[index]))
        beam = f"you stand {off:.0f}° off its boresight at {distance}"
        if off > BEHIND_DEG:
            beam = f"you stand behind it, {off:.0f}° off its boresight at {distance}"
    return f"{candidate.name}: {beam}, {_view(found, index)}."


def _view(found: Posterior, index: int) -> str:
    """What is known of the line of sight, and from whom."""
    candidate = found.prediction.candidates[index]
    if candidate.view is View.CLEAR:
        return "in clear view"
    if candidate.view is View.PARTLY:
        return "partly hidden"
    if candidate.view is View.BLOCKED:
        return "out of view"
    chance = float(found.prediction.los[index])
    if candidate.los_probability is not None:
        return "with no building between" if chance >= 0.5 else "with a building between"
    return f"{100.0 * chance:.0f} % likely to be in view at that distance"


def _measured(found: Posterior, index: int) -> list[str]:
    """How the RSRP and the PCI read agree with a sector."""
    observation, prediction = found.observation, found.prediction
    candidate = prediction.candidates[index]
    told = []
    if observation.rsrp_dbm is not None:
        expected = float(prediction.level_dbm[index]) + observation.phone_offset_db
        sigma = float(np.hypot(prediction.spread_db[index], reading_sigma_db(observation)))
        apart = observation.rsrp_dbm - expected
        fits = "agrees" if abs(apart) <= AGREES * sigma else "does not fit well"
        side = "stronger" if apart > 0 else "weaker"
        told.append(
            f"The RSRP of {observation.rsrp_dbm:.0f} dBm {fits}: {abs(apart):.0f} dB {side} "
            f"than predicted ({expected:.0f} ± {sigma:.0f} dBm)."
        )
    if observation.pci is not None and candidate.pci is not None:
        own = "is its own" if observation.pci == candidate.pci else f"is not its {candidate.pci}"
        told.append(f"The PCI {observation.pci} {own}.")
    return told
