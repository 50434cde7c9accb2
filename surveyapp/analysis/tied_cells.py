"""Readings of one PCI at several places come from one cell: their serving answers are joined.

At each place the serving answer gives a probability for every sector. Places are independent
but for that cell, so the probabilities multiply; each place is granted a share of being wrong,
WRONG_ANSWER. The same PCI of another cell in one survey is neglected (there are 1008).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from surveyapp.analysis.phone_offset import PhoneOffset
from surveyapp.analysis.standing import LEG_NAME, LegAnswer, leg_carrier, serving_at
from surveyapp.errors import NoAnswer
from surveyapp.geometry.serving_terms import HIGHEST_PCI, Ranked, ServingAnswer
from surveyapp.geometry.settle import NOTHING_MORE, SETTLED
from surveyapp.model import Rat, StopScene

WRONG_ANSWER = 0.02  # our assumption
Cell = tuple[Rat, str, int]
Shares = dict[str | None, float]


def answers_alone(
    scene: StopScene, offsets: Mapping[str, PhoneOffset] | None = None
) -> tuple[LegAnswer, ...]:
    """A stop's serving answers from its own entries, none where it has no position."""
    try:
        return serving_at(scene, offsets)
    except NoAnswer:
        return ()


def survey_answers(
    scenes: Sequence[StopScene], offsets: Mapping[str, PhoneOffset] | None = None
) -> list[tuple[LegAnswer, ...]]:
    """The serving answers of many stops, in their order, joined within each survey.

    Whoever tells of a stop that stands in a notebook takes its answers from here or from a
    `SurveyView`, so that screens, commands and the report say the same.
    """
    surveys: dict[str, list[int]] = defaultdict(list)
    for place, scene in enumerate(scenes):
        surveys[scene.survey.id].append(place)
    found: dict[int, tuple[LegAnswer, ...]] = {}
    for places in surveys.values():
        own = [scenes[place] for place in places]
        joined = tied_answers(own, [answers_alone(scene, offsets) for scene in own])
        found |= zip(places, joined, strict=True)
    return [found[place] for place in range(len(scenes))]


def tied_answers(
    scenes: Sequence[StopScene], answers: Sequence[Sequence[LegAnswer]]
) -> list[tuple[LegAnswer, ...]]:
    """The answers of each stop, those of a PCI read at several stops joined."""
    shares: dict[Cell, dict[str, list[Shares]]] = defaultdict(lambda: defaultdict(list))
    for scene, own in zip(scenes, answers, strict=True):
        for answer in own:
            cell = _cell(scene, answer)
            if cell is not None:
                shares[cell][scene.stop.id].append(_shares(answer.answer))
    joined = {
        cell: (_joined([_mean(legs) for legs in by_stop.values()]), len(by_stop))
        for cell, by_stop in shares.items()
        if len(by_stop) > 1
    }
    return [
        tuple(_tied(answer, _cell(scene, answer), joined) for answer in own)
        for scene, own in zip(scenes, answers, strict=True)
    ]


def _cell(scene: StopScene, answer: LegAnswer) -> Cell | None:
    """Radio technology, operator and PCI of a leg; None where no PCI was read."""
    reading = next((r for r in scene.readings if r.id == answer.reading_id), None)
    if reading is None:
        return None
    rat = next(rat for rat, name in LEG_NAME.items() if name == answer.leg)
    carrier = leg_carrier(reading, rat)
    if carrier is None or carrier.pci is None or not 0 <= carrier.pci <= HIGHEST_PCI[rat]:
        return None
    device = next((d for d in scene.devices if d.id == reading.device_id), None)
    return rat, device.operator.strip().casefold() if device else "", carrier.pci


def _shares(answer: ServingAnswer) -> Shares:
    """Probability by sector id, None for 'none of these'."""
    return {ranked.sector_id: ranked.probability for ranked in answer.ranking}


def _mean(legs: Sequence[Shares]) -> Shares:
    """The mean of what several phones at one stop say."""
    keys = dict.fromkeys(key for leg in legs for key in leg)
    return {key: sum(leg.get(key, 0.0) for leg in legs) / len(legs) for key in keys}


def _joined(places: Sequence[Shares]) -> Shares:
    """The product over places, each granted a share of being wrong, made to sum to 1."""
    keys = dict.fromkeys(key for place in places for key in place)
    product = dict.fromkeys(keys, 1.0)
    for place in places:
        for key in keys:
            told = (1.0 - WRONG_ANSWER) * place.get(key, 0.0)
            product[key] *= told + WRONG_ANSWER / len(keys)
        total = sum(product.values())
        product = {key: value / total for key, value in product.items()}
    return product


def _tied(
    answer: LegAnswer, cell: Cell | None, joined: Mapping[Cell, tuple[Shares, int]]
) -> LegAnswer:
    """One answer with the joined probabilities of its cell, if it has any."""
    if cell is None or cell not in joined:
        return answer
    shares, stops = joined[cell]
    listed = [ranked for ranked in answer.answer.ranking if ranked.sector_id is not None]
    none = answer.answer.ranking[-1]
    total = sum(shares.get(ranked.sector_id, 0.0) for ranked in (*listed, none))
    if not total > 0.0:
        return answer
    ranking: list[Ranked] = [
        replace(ranked, probability=shares.get(ranked.sector_id, 0.0) / total)
        for ranked in (*listed, none)
    ]
    ordered = (*sorted(ranking[:-1], key=lambda ranked: -ranked.probability), ranking[-1])
    best = max(ordered, key=lambda ranked: ranked.probability)
    who = "an unlisted sector" if best.sector_id is None else best.name
    why = f"PCI {cell[2]} was read at {stops} stops: together they point to {who}"
    settled = best.sector_id is not None and best.probability >= SETTLED
    found = replace(
        answer.answer,
        ranking=ordered,
        settle=NOTHING_MORE if settled else answer.answer.settle,
        reasons=(*answer.answer.reasons, f"{why} ({best.probability:.0%})."),
    )
    return replace(answer, answer=found)
