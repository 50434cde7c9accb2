"""A reading against what its sector should give: the strip, the sentence and the budget."""

from __future__ import annotations

import math

import numpy as np
import pytest

from surveyapp.analysis.leg_links import as_arrays, leg_links
from surveyapp.analysis.levels import levels
from tests.analysis.demo_day import Day

ONE_DB = 1.0
A_TENTH_DB = 0.1  # the quick path against the serving answer's, as both are shown


def test_every_leg_read_has_an_expectation(day: Day) -> None:
    """Each carrier leg of each reading of the demo is judged, none is passed over."""
    for scene, found in zip(day.scenes, day.expectations, strict=True):
        wanted = {
            (reading.id, carrier.rat) for reading in scene.readings for carrier in reading.carriers
        }

        assert len(found.legs) == len(wanted)
        assert all(leg.rsrp.mean is not None and leg.words for leg in found.legs)


def test_the_lines_of_the_budget_add_up_to_what_was_expected_and_read(day: Day) -> None:
    """A surveyor can follow every decibel from the EIRP to the level expected, and on."""
    for found in day.expectations:
        for leg in found.legs:
            *parts, expected, left, read = leg.budget

            assert expected.number == leg.rsrp.mean
            assert read.number == leg.rsrp.measured
            assert math.fsum(line.number or 0.0 for line in parts) == pytest.approx(
                expected.number, abs=A_TENTH_DB
            )
            assert expected.number + left.number == pytest.approx(read.number, abs=1e-9)


def test_levels_agree_with_the_serving_answer(day: Day) -> None:
    """The quick path predicts what the serving answer predicts, whose own check is simulation."""
    apart = []
    for scene, found in zip(day.scenes, day.expectations, strict=True):
        legs = leg_links(scene, found.answers, {})
        quick = levels(as_arrays(scene, legs.values()))
        for row, leg in enumerate(legs.values()):
            apart.append(quick.mean_dbm[row] - (leg.ranked.predicted_rsrp_dbm or 0.0))
            assert leg.offset.offset_db == 0.0

    assert len(apart) > 100
    assert float(np.sqrt(np.mean(np.square(apart)))) < ONE_DB


def test_differences_scatter_as_the_sigmas_say(day: Day) -> None:
    """Of the readings whose sector is listed, nearly all lie within two sigmas."""
    sigmas = []
    for found in day.expectations:
        for leg in found.legs:
            served = day.truth.serving(found.stop_id, leg.device_id, leg.leg)
            if served is not None and served.listed and leg.rsrp.sigmas is not None:
                sigmas.append(abs(leg.rsrp.sigmas))

    assert len(sigmas) > 100
    assert np.mean(np.array(sigmas) < 2.0) > 0.85
