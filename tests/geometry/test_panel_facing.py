"""Azimuth of a panel from how it was seen turned."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.geometry.geodesy import angle_between_deg, normalise_azimuth_deg
from surveyapp.geometry.sightings import Facing, panel_azimuth
from tests.geometry.published import BILLIONTH_DEG


@pytest.mark.parametrize(
    ("bearing_deg", "facing_deg", "azimuth_deg"),
    [
        (0.0, 0.0, 180.0),  # I look north at it, it looks south at me
        (0.0, 90.0, 270.0),  # edge on and turned to my left, which is west
        (0.0, -45.0, 135.0),  # half turned to my right, which is east
        (270.0, 180.0, 270.0),  # I see its back
        (200.0, 0.0, 20.0),
    ],
)
def test_one_sighting_gives_the_back_bearing_turned_by_the_facing(
    bearing_deg: float, facing_deg: float, azimuth_deg: float
) -> None:
    """Left and right are the observer's own."""
    found = panel_azimuth([Facing(bearing_deg, facing_deg)])

    assert found.azimuth_deg == pytest.approx(azimuth_deg, abs=BILLIONTH_DEG)
    assert found.sigma_deg == pytest.approx(math.hypot(5.0, 15.0), abs=BILLIONTH_DEG)


@given(st.floats(0.0, 359.9), st.lists(st.floats(0.0, 359.9), min_size=1, max_size=6))
def test_a_panel_seen_without_error_from_all_round_faces_its_own_way(
    azimuth_deg: float, bearings_deg: list[float]
) -> None:
    """Whatever the panel's azimuth, also about north, the stops agree on it."""
    facings = [
        Facing(bearing, angle_between_deg(normalise_azimuth_deg(bearing + 180.0), azimuth_deg))
        for bearing in bearings_deg
    ]
    found = panel_azimuth(facings)

    assert abs(angle_between_deg(azimuth_deg, found.azimuth_deg)) < BILLIONTH_DEG
    assert found.sigma_deg == pytest.approx(
        math.hypot(5.0, 15.0) / math.sqrt(len(facings)), abs=BILLIONTH_DEG
    )


def test_the_surer_sighting_counts_more_and_scatter_widens_the_sigma() -> None:
    """Weights are 1 / variance; two that differ by 80 degrees are not 11 degrees sure."""
    sure, unsure = Facing(180.0, 0.0, 1.0, 1.0), Facing(180.0, 30.0, 1.0, 20.0)
    leaning = panel_azimuth([sure, unsure])
    scattered = panel_azimuth([Facing(180.0, -40.0), Facing(180.0, 40.0)])

    assert abs(angle_between_deg(0.0, leaning.azimuth_deg)) < 0.5
    assert abs(angle_between_deg(0.0, scattered.azimuth_deg)) < BILLIONTH_DEG
    assert scattered.sigma_deg == pytest.approx(40.0, abs=BILLIONTH_DEG)
    assert scattered.residuals_deg == pytest.approx((-40.0, 40.0), abs=BILLIONTH_DEG)


def test_sightings_that_tell_no_azimuth_are_refused() -> None:
    """None at all, opposite ones, a facing past the back, a negative sigma, NaN."""
    with pytest.raises(NoAnswer, match="No sighting"):
        panel_azimuth([])
    with pytest.raises(NoAnswer, match="cancel"):
        panel_azimuth([Facing(0.0, 0.0), Facing(180.0, 0.0)])
    with pytest.raises(OutOfRange, match="facing 200"):
        Facing(0.0, 200.0)
    with pytest.raises(OutOfRange, match="negative"):
        Facing(0.0, 0.0, -5.0)
    with pytest.raises(InvalidValue, match="facing is not a number"):
        Facing(0.0, math.nan)
