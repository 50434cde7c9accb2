"""Where to read next, so that what serves at a stop is told apart best."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from surveyapp.analysis.reading_outlook import Outlook, reading_outlook
from surveyapp.analysis.sight_grid import Roofs
from surveyapp.analysis.stand import MOST_STANDS, Stand, best_apart, stand_at
from surveyapp.analysis.standing_places import StandingPlaces
from surveyapp.errors import NoAnswer
from surveyapp.geometry.places import StreetIndex
from surveyapp.geometry.serving_posterior import Posterior
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.settle import LEAST_NAMED

LEAST_BITS = 0.1


@dataclass(frozen=True, kw_only=True, slots=True)
class TellingStand:
    """A place whose reading should tell which sector serves at the stop asked about.

    `bits` is the expected information, `sure_before` the leader's probability now and
    `sure_after` what it should be on average after; `text` says what to look for there.
    """

    stand: Stand
    bits: float
    sure_before: float
    sure_after: float
    text: str


def telling_stands(
    found: Posterior,
    places: StandingPlaces,
    streets: StreetIndex,
    *,
    roofs: Roofs | None = None,
    most: int = MOST_STANDS,
) -> tuple[TellingStand, ...]:
    """Up to `most` places, the one that tells most first.

    Raises NoAnswer where the stop has no RSRP yet, and where no place nearby would tell.
    """
    outlook = reading_outlook(found, places, roofs)
    bits, surest = outlook.bits(), outlook.surest()
    worth = np.where(bits >= LEAST_BITS, bits, -np.inf)
    stands = tuple(
        TellingStand(
            stand=stand_at(places, index, streets),
            bits=float(bits[index]),
            sure_before=float(np.max(outlook.joint.sum(axis=(2, 3))[:, index])),
            sure_after=float(surest[index]),
            text=_words(outlook, index),
        )
        for index in best_apart(places, worth, most)
    )
    if not stands:
        raise NoAnswer(
            "No place nearby would tell which sector serves here: read the PCI, or sight the sites."
        )
    return stands


def _words(outlook: Outlook, place: int) -> str:
    """What to do there, and what the two leading hypotheses should show."""
    prior = outlook.joint.sum(axis=(2, 3))[:, place]
    order = np.argsort(-prior, kind="stable")[:2].tolist()
    leading = [index for index in order if prior[index] >= LEAST_NAMED]
    chances = " and ".join(
        f"{100.0 * outlook.keeps[index, place]:.0f} % if it is on {_named(outlook.names[index])}"
        for index in leading
    )
    first = "Read the PCI there" if outlook.pci_read else "Read the PCI at the stop, then there"
    return f"{first}: the stop's shows again with {chances}."


def _named(name: str) -> str:
    return "a sector that is not listed" if name == NONE_NAME else name
