"""Height of a site from elevations."""

from __future__ import annotations

import math

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.heights import Elevation, height_from_elevations
from tests.geometry.published import ONE_MILLIMETRE


def test_an_elevation_and_a_distance_give_the_height_above_the_street() -> None:
    """45 degrees at 10 m is 10 m above the eye, and the eye is 1.6 m up."""
    found = height_from_elevations([Elevation(45.0, 10.0)])

    assert found.height_m == pytest.approx(11.6, abs=ONE_MILLIMETRE)
    assert found.sigma_m == pytest.approx(10.0 * math.radians(1.5) * 2, abs=ONE_MILLIMETRE)


def test_the_sigma_is_the_scatter_of_simulated_sightings() -> None:
    """100,000 draws of angle and distance scatter as told, within 2 percent."""
    told = height_from_elevations([Elevation(10.0, 50.0, 1.5, 4.0)])
    draw = np.random.default_rng(20260504).normal
    angles, distances = np.radians(draw(10.0, 1.5, 100_000)), draw(50.0, 4.0, 100_000)

    assert np.std(distances * np.tan(angles)) == pytest.approx(told.sigma_m, rel=0.02)


def test_several_elevations_are_weighted_by_what_each_can_tell() -> None:
    """The near one counts more, the far one still helps, and the sigma shrinks."""
    near, far = Elevation(30.0, 10.0), Elevation(8.0, 60.0)
    both = height_from_elevations([near, far])

    assert abs(both.height_m - near.height_m) < abs(both.height_m - far.height_m)
    assert both.sigma_m < height_from_elevations([near]).sigma_m


def test_elevations_of_no_use_are_refused() -> None:
    """Straight up, too far, no number, none at all."""
    with pytest.raises(OutOfRange, match="elevation 89"):
        Elevation(89.0, 10.0)
    with pytest.raises(OutOfRange, match="distance 5000"):
        Elevation(5.0, 5000.0)
    with pytest.raises(InvalidValue, match="elevation is not a number"):
        Elevation(math.nan, 10.0)
    with pytest.raises(NoAnswer, match="elevation and a distance"):
        height_from_elevations([])
