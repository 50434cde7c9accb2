"""Phones' own offsets learned from pairs."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from surveyapp.analysis.phone_offset import (
    PAIR_SIGMA_DB,
    UNLEARNED_SIGMA_DB,
    learn_phone_offsets,
)
from surveyapp.model import Carrier, Reading, Stop, StopScene, Survey

WHEN = datetime(2025, 5, 4, 10, 0, tzinfo=UTC)
SURVEY = Survey(title="An invented survey")


def stop_with(levels: dict[str, float | None], **carrier: object) -> StopScene:
    """A stop where each device showed one RSRP."""
    stop = Stop(survey_id=SURVEY.id, number=1, time_utc=WHEN)
    readings = tuple(
        Reading(
            stop_id=stop.id,
            device_id=device,
            time_utc=WHEN,
            carriers=(Carrier(rsrp_dbm=rsrp, band="n258", **carrier),),  # type: ignore[arg-type]
        )
        for device, rsrp in levels.items()
    )
    return StopScene(survey=SURVEY, stop=stop, readings=readings)


def test_one_pair_moves_both_phones_apart_as_worked_by_hand() -> None:
    """Two phones, difference d: each offset is +-d/2 shrunk by 1 / (1 + s^2 / t^2).

    With prior variance t^2 and reading variance s^2 the difference has prior variance 2 t^2
    and noise 2 s^2; their mean is not told, so its half of the variance stays.
    """
    found = learn_phone_offsets([stop_with({"one": -80.0, "two": -90.0})])

    t2, s2 = UNLEARNED_SIGMA_DB**2, PAIR_SIGMA_DB**2
    shrunk = 5.0 * t2 / (t2 + s2)
    variance = t2 / 2.0 + 0.5 * t2 * s2 / (t2 + s2)
    assert found["one"].offset_db == pytest.approx(shrunk, abs=1e-9)
    assert found["two"].offset_db == pytest.approx(-shrunk, abs=1e-9)
    assert found["one"].sigma_db == pytest.approx(np.sqrt(variance), abs=1e-9)
    assert found["one"].pairs == 1


def test_many_pairs_find_the_true_difference() -> None:
    """After 60 simulated pairs the difference of 7 dB is found to a decibel."""
    rng = np.random.default_rng(11)
    scenes = []
    for level in rng.uniform(-110.0, -70.0, 60):
        noise = PAIR_SIGMA_DB * rng.standard_normal(2)
        scenes.append(stop_with({"one": level + 7.0 + noise[0], "two": level + noise[1]}))

    found = learn_phone_offsets(scenes)

    assert found["one"].offset_db - found["two"].offset_db == pytest.approx(7.0, abs=1.2)
    assert found["one"].sigma_db < UNLEARNED_SIGMA_DB


def test_phones_on_different_cells_are_no_pair() -> None:
    """Readings with two PCIs tell nothing of the phones."""
    first = stop_with({"one": -80.0}, pci=11)
    second = stop_with({"two": -95.0}, pci=12)
    together = StopScene(
        survey=SURVEY, stop=first.stop, readings=(*first.readings, *second.readings)
    )

    assert learn_phone_offsets([together]) == {}


def test_impossible_levels_are_not_learned_from() -> None:
    """An RSRP of +84 dBm leaves no pair."""
    assert learn_phone_offsets([stop_with({"one": 84.0, "two": -90.0})]) == {}


def test_without_readings_nothing_is_learned() -> None:
    """No scenes, no offsets."""
    assert learn_phone_offsets([]) == {}
