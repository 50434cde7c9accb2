"""The panel's pattern against TR 38.901 table 7.3-1."""

from __future__ import annotations

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.radio.antenna import element_gain_dbi, pattern_db
from tests.radio.published import rows

MILLIONTH_DB = 1e-6


def test_the_element_has_the_gains_of_the_published_table() -> None:
    """All seven published directions agree to a millionth of a decibel."""
    table = rows("tr38901_element_gain.csv")

    assert len(table) == 7
    for row in table:
        gain = element_gain_dbi(float(row["theta_deg"]), float(row["phi_deg"]))

        assert gain == pytest.approx(float(row["gain_dbi"]), abs=MILLIONTH_DB)


@pytest.mark.parametrize("beamwidth_deg", [20.0, 65.0, 120.0])
def test_half_a_beamwidth_off_loses_three_decibels(beamwidth_deg: float) -> None:
    """The beamwidth is the angle between the half-power points, on either side."""
    for side in (-0.5, 0.5):
        off = side * beamwidth_deg

        assert pattern_db(off, 0.0, beamwidth_deg=beamwidth_deg) == pytest.approx(
            -3.0, abs=MILLIONTH_DB
        )
        assert pattern_db(0.0, off, vertical_beamwidth_deg=beamwidth_deg) == pytest.approx(
            -3.0, abs=MILLIONTH_DB
        )


def test_angles_of_any_turn_mean_the_same_direction() -> None:
    """350 degrees is 10 to the left, and 720 is straight ahead."""
    assert pattern_db(350.0, 0.0) == pytest.approx(pattern_db(-10.0, 0.0), abs=MILLIONTH_DB)
    assert pattern_db(720.0, 0.0) == 0.0


def test_arrays_broadcast_and_single_values_stay_floats() -> None:
    """A column of azimuths and a row of beamwidths give a table; two floats give a float."""
    table = pattern_db(np.zeros((3, 1)), 0.0, beamwidth_deg=np.full(4, 65.0))

    assert table.shape == (3, 4)
    assert isinstance(pattern_db(12.0, 3.0), float)


def test_a_beamwidth_of_nothing_and_an_angle_that_is_no_number_are_refused() -> None:
    """The sentence says what is allowed."""
    with pytest.raises(OutOfRange, match=r"0\.1 to 360 degrees"):
        pattern_db(0.0, 0.0, beamwidth_deg=0.0)
    with pytest.raises(InvalidValue, match="not a number"):
        pattern_db(float("nan"), 0.0)
