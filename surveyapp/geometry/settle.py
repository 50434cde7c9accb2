"""The cheapest observation that would settle which sector serves, by expected information.

Each observation still open is tried on the model: how many bits does its outcome tell about
the serving sector, on average over the outcomes the model expects? The one with most bits for
its trouble is put in words. Trouble is counted in units of one figure read off the phone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from surveyapp.geometry.information import azimuth_bits, information_bits
from surveyapp.geometry.serving_posterior import Posterior, pci_likelihood, reading_sigma_db
from surveyapp.geometry.step_apart import step_text, steps_apart

SETTLED = 0.95
LEAST_BITS = 0.02
NOTHING_MORE = "Settled: nothing more is needed here."
LEAST_NAMED = 0.01  # a sector less likely than this is not told of
VAGUE_AZIMUTH_DEG = 25.0
READ_TROUBLE, LOOK_TROUBLE, PANEL_TROUBLE, STEP_TROUBLE = 1.0, 2.0, 3.0, 2.0
TROUBLE_PER_M = 1.0 / 20.0


@dataclass(frozen=True, slots=True)
class Proposal:
    """One observation with the bits it is expected to tell, and its trouble."""

    text: str
    bits: float
    trouble: float


def settle(found: Posterior) -> str:
    """One sentence: the observation worth making now."""
    probability = found.probability
    best = int(np.argmax(probability))
    if best < len(probability) - 1 and probability[best] >= SETTLED:
        return NOTHING_MORE
    proposals = list(_proposals(found))
    useful = [p for p in proposals if p.bits >= LEAST_BITS]
    if not useful:
        return "No cheap observation would settle it: look for a site that is not listed yet."
    return max(useful, key=lambda p: p.bits / p.trouble).text


def _proposals(found: Posterior) -> Iterator[Proposal]:
    """Every observation that is still open."""
    if found.observation.pci is None:
        yield from _read_pci(found)
    if found.observation.rsrp_dbm is None:
        yield _measure(found)
    yield from _look_again(found)
    yield from _sight_panel(found)
    if leading := _leading(found, 2):
        yield _step(found, len(leading))


def _leading(found: Posterior, most: int) -> list[int]:
    """The likeliest sectors, as many as are worth a word."""
    order = np.argsort(-found.probability[:-1], kind="stable")[:most].tolist()
    return [index for index in order if found.probability[index] >= LEAST_NAMED]


def _read_pci(found: Posterior) -> Iterator[Proposal]:
    """Reading the PCI, where at least one contender's is known."""
    candidates = found.prediction.candidates
    known = sorted({c.pci for c in candidates if c.pci is not None})
    if not known:
        return
    recorded = [*(c.pci for c in candidates), None]
    chance = np.array([[pci_likelihood(read, pci) for read in known] for pci in recorded])
    other = np.maximum(1.0 - chance.sum(axis=1), 0.0)
    joint = found.probability[:, None] * np.column_stack([chance, other])
    telling = [i for i in _leading(found, 3) if candidates[i].pci is not None]
    if telling:
        means = ", ".join(f"{candidates[i].pci} is {candidates[i].name}" for i in telling)
        yield Proposal(f"Read the PCI: {means}.", information_bits(joint), READ_TROUBLE)


def _measure(found: Posterior) -> Proposal:
    """Reading the RSRP here."""
    level = found.joint.level_dbm
    apart = (level[:, None] - level[None, :]) / reading_sigma_db(found.observation)
    joint = found.joint.everything * found.pci_weight[:, None] @ np.exp(-0.5 * apart**2)
    return Proposal("Read the RSRP here.", information_bits(joint), READ_TROUBLE)


def _look_again(found: Posterior) -> Iterator[Proposal]:
    """Sighting the sites of the leading sectors, where the view was not told."""
    candidates, field = found.prediction.candidates, found.prediction.field
    seen: set[int] = set()
    for index in _leading(found, 3):
        site = int(field.site_of[index])
        los = float(field.los_probability[site])
        if site in seen or candidates[index].view is not None or not 0.0 < los < 1.0:
            continue
        seen.add(site)
        joint = np.column_stack(
            [
                los * found.mass(found.joint.given_los(site, clear=True)),
                (1.0 - los) * found.mass(found.joint.given_los(site, clear=False)),
            ]
        )
        name = candidates[index].site_name or candidates[index].name
        text = f"Sight {name} from here: is the view to it clear or blocked?"
        yield Proposal(text, information_bits(joint), LOOK_TROUBLE)


def _sight_panel(found: Posterior) -> Iterator[Proposal]:
    """Seeing which way a leading panel faces, where its azimuth is vague."""
    for index in _leading(found, 2):
        candidate = found.prediction.candidates[index]
        if candidate.azimuth_deg is None or candidate.azimuth_sigma_deg >= VAGUE_AZIMUTH_DEG:
            text = f"Sight the panel of {candidate.name}: which way does it face?"
            yield Proposal(text, azimuth_bits(found, index), PANEL_TROUBLE)


def _step(found: Posterior, named: int) -> Proposal:
    """The walk of most bits for its trouble, told by so many of the leading contenders."""
    steps = steps_apart(found)
    trouble = STEP_TROUBLE + TROUBLE_PER_M * steps.length_m
    walk = int(np.argmax(steps.bits / trouble))
    text = step_text(steps, walk, found, named)
    return Proposal(text, float(steps.bits[walk]), float(trouble[walk]))
