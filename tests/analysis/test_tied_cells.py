"""Answers of one PCI at several stops are joined."""

from __future__ import annotations

from dataclasses import replace

import pytest

from surveyapp.analysis.standing import LegAnswer
from surveyapp.analysis.tied_cells import WRONG_ANSWER, tied_answers
from surveyapp.geometry.serving_terms import Ranked, ServingAnswer
from surveyapp.geometry.serving_values import NONE_NAME
from surveyapp.geometry.settle import NOTHING_MORE
from surveyapp.model import StopScene
from tests.analysis.street import LTE, NR, reading, scene, stop

A_MILLIONTH = 1e-6


def answered(probabilities: dict[str, float]) -> tuple[LegAnswer, ...]:
    """A 5G leg's answer with these probabilities, 'none' last."""
    listed = [Ranked(sector_id=key, name=key, probability=share)
              for key, share in probabilities.items() if key != NONE_NAME]  # fmt: skip
    none = Ranked(sector_id=None, name=NONE_NAME, probability=probabilities[NONE_NAME])
    answer = ServingAnswer(ranking=(*listed, none), settle="", reasons=("before",))
    return (LegAnswer(leg="5G leg", device_id="a", reading_id="reading a", answer=answer),)


def at_stop(name: str, pci: int | None) -> StopScene:
    """A stop where phone A read a PCI."""
    return scene(stop=stop(id=name), readings=(reading(replace(NR, pci=pci), LTE, stop_id=name),))


FIRST = {"one": 0.7, "two": 0.2, NONE_NAME: 0.1}
SECOND = {"two": 0.5, "one": 0.4, NONE_NAME: 0.1}


def test_places_multiply_but_for_a_share_of_being_wrong() -> None:
    """Worked by hand: products of (1 - 0.02) p + 0.02 / 3, made to sum to 1."""
    scenes = [at_stop("here", 7), at_stop("there", 7)]
    tied = tied_answers(scenes, [answered(FIRST), answered(SECOND)])
    spare = WRONG_ANSWER / 3.0
    product = {key: (0.98 * FIRST[key] + spare) * (0.98 * SECOND[key] + spare) for key in FIRST}
    for answers in tied:
        found = {ranked.name: ranked.probability for ranked in answers[0].answer.ranking}
        for key, value in product.items():
            assert found[key] == pytest.approx(value / sum(product.values()), abs=A_MILLIONTH)
        assert list(found) == ["one", "two", NONE_NAME]
        assert answers[0].answer.reasons[-1].startswith("PCI 7 was read at 2 stops")


@pytest.mark.parametrize("pcis", [(7, 8), (7, None), (None, None), (7, 2000)])
def test_other_cells_stay_apart(pcis: tuple[int | None, int | None]) -> None:
    """Different PCIs, none, or one that does not exist."""
    scenes = [at_stop("here", pcis[0]), at_stop("there", pcis[1])]
    given = [answered(FIRST), answered(SECOND)]

    assert tied_answers(scenes, given) == given


def test_one_stop_alone_is_left_as_it_is() -> None:
    """Two phones at one stop are no second witness of the place."""
    given = [answered(FIRST)]

    assert tied_answers([at_stop("here", 7)], given) == given


def test_what_is_sure_together_asks_for_nothing_more() -> None:
    """Where the places together settle it, no look or step is asked for any more."""
    likely = {"one": 0.9, "two": 0.08, NONE_NAME: 0.02}
    open_still = tuple(
        replace(one, answer=replace(one.answer, settle="Read the PCI.")) for one in answered(likely)
    )
    tied = tied_answers([at_stop("here", 7), at_stop("there", 7)], [open_still, open_still])
    apart = tied_answers([at_stop("here", 7), at_stop("there", 8)], [open_still, open_still])

    assert [own[0].answer.settle for own in tied] == [NOTHING_MORE] * 2
    assert [own[0].answer.settle for own in apart] == ["Read the PCI."] * 2
