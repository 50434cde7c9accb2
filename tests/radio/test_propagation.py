"""Path loss, line-of-sight probability and free space against their published tables."""

from __future__ import annotations

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.radio.propagation import (
    Scenario,
    free_space_db,
    los_probability,
    path_loss_db,
    shadow_sigma_db,
)
from tests.radio.published import rows

HUNDREDTH_DB = 0.01
TABLE_BASE_HEIGHT_M = {"UMI": 10.0, "UMA": 25.0}


def test_path_loss_agrees_with_the_published_rows() -> None:
    """36 rows of street canyon and urban macro, both sides of the breakpoint, to 0.01 dB."""
    table = rows("tr38901_path_loss.csv")

    assert len(table) == 36
    for row in table:
        loss = path_loss_db(
            Scenario[row["scenario"]],
            float(row["distance_m"]),
            float(row["ghz"]) * 1000.0,
            los=row["los"] == "1",
            base_height_m=TABLE_BASE_HEIGHT_M[row["scenario"]],
        )

        assert loss == pytest.approx(float(row["loss_db"]), abs=HUNDREDTH_DB), row


def test_line_of_sight_probability_agrees_with_the_published_rows() -> None:
    """14 published distances to a millionth."""
    table = rows("tr38901_los_probability.csv")

    assert len(table) == 14
    for row in table:
        probability = los_probability(Scenario[row["scenario"]], float(row["distance_m"]))

        assert probability == pytest.approx(float(row["probability"]), abs=1e-6), row


def test_free_space_agrees_with_the_recommendation() -> None:
    """Four frequencies at 1 m, and 20 dB more for each decade of distance."""
    table = rows("itu_p525_free_space.csv")

    assert len(table) == 4
    for row in table:
        loss = free_space_db(1.0, float(row["mhz"]))

        assert loss == pytest.approx(float(row["loss_db"]), abs=5e-5)
        assert free_space_db(10.0, float(row["mhz"])) - loss == pytest.approx(20.0, abs=1e-9)


def test_urban_macro_beyond_its_breakpoint_agrees_with_its_formula_worked_by_hand() -> None:
    """1000 m at 3.5 GHz, base 25 m: breakpoint 4 x 24 x 0.5 x 3.5e9 / 3e8 = 560 m.

    28 + 40 log10(1000.276) + 20 log10(3.5) - 9 log10(560^2 + 23.5^2).
    """
    loss = path_loss_db(Scenario.UMA, 1000.0, 3500.0, los=True, base_height_m=25.0)

    assert loss == pytest.approx(28.0 + 120.0048 + 10.8814 - 9 * 5.497140, abs=HUNDREDTH_DB)


def test_rural_macro_agrees_with_its_formula_worked_by_hand() -> None:
    """Two points from the table's text, with h 5 m, W 20 m, base 35 m, user 1.5 m, 1 GHz.

    In sight at 100 m: slant 105.462 m, h^1.72 = 15.9316, 20 log10(40 pi 105.462 / 3) = 72.9049.
    Hidden at 3000 m: slant 3000.187 m, log10 of it less 3 is 0.477148, 20 log10(1) = 0.
    """
    seen = path_loss_db(Scenario.RMA, 100.0, 1000.0, los=True, base_height_m=35.0)
    hidden = path_loss_db(Scenario.RMA, 3000.0, 1000.0, los=False, base_height_m=35.0)

    assert seen == pytest.approx(72.9049 + 0.47795 * 2.02310 - 0.70099 + 0.14743, abs=HUNDREDTH_DB)
    assert hidden == pytest.approx(
        161.04 - 9.2373 + 5.2423 - 37.5141 + 38.6333 * 0.477148 - (4.9694 - 4.97),
        abs=HUNDREDTH_DB,
    )


def test_rural_line_of_sight_is_continuous_at_its_breakpoint() -> None:
    """The second slope starts where the first one ends."""
    breakpoint_m = 2.0 * np.pi * 35.0 * 1.5 * 1e9 / 3e8
    losses = [
        path_loss_db(Scenario.RMA, breakpoint_m + step, 1000.0, los=True, base_height_m=35.0)
        for step in (-0.01, 0.01)
    ]

    assert losses[1] - losses[0] == pytest.approx(0.0, abs=HUNDREDTH_DB)


@pytest.mark.parametrize("scenario", [Scenario.UMI, Scenario.UMA])
@pytest.mark.parametrize("los", [True, False])
def test_nearer_than_ten_metres_the_loss_falls_on_without_a_jump(
    scenario: Scenario, los: bool
) -> None:
    """The formulas go on continuously, and answer even right below the panel."""
    loss = path_loss_db(scenario, np.array([0.0, 3.0, 9.999, 10.0]), 3500.0, los=los)

    assert (np.diff(loss) > 0.0).all()
    assert loss[3] - loss[2] == pytest.approx(0.0, abs=HUNDREDTH_DB)


def test_under_a_panel_at_head_height_the_slant_counts_as_one_metre() -> None:
    """No infinite gain where base and user stand at the same height and place."""
    losses = [
        path_loss_db(Scenario.UMI, metres, 3500.0, los=True, base_height_m=2.0, user_height_m=2.0)
        for metres in (0.0, 1.0)
    ]

    assert losses[0] == losses[1]
    assert losses[0] == pytest.approx(32.4 + 20.0 * np.log10(3.5), abs=HUNDREDTH_DB)


def test_a_hidden_path_never_loses_less_than_a_free_one() -> None:
    """Over every scenario and distance, as the table's max() demands."""
    distance_m = np.geomspace(10.0, 5000.0, 60)
    for scenario in Scenario:
        free, hidden = (
            path_loss_db(scenario, distance_m, 3500.0, los=los, base_height_m=20.0)
            for los in (True, False)
        )

        assert (hidden >= free).all()


def test_arguments_broadcast_and_a_mixed_line_of_sight_is_taken_apart() -> None:
    """One call for a whole street gives what single calls give."""
    distance_m = np.array([30.0, 60.0, 90.0])
    los = np.array([True, False, True])
    together = path_loss_db(Scenario.UMI, distance_m, 28_000.0, los=los)
    single = [
        path_loss_db(Scenario.UMI, float(metres), 28_000.0, los=bool(free))
        for metres, free in zip(distance_m, los, strict=True)
    ]

    assert together == pytest.approx(single, abs=1e-12)
    assert isinstance(single[0], float)
    assert shadow_sigma_db(Scenario.UMI, los).tolist() == [4.0, 7.82, 4.0]


def test_shadow_fading_has_the_deviations_of_the_table() -> None:
    """TR 38.901 table 7.4.1-1: 4/7.82, 4/6 and (within the breakpoint) 4/8 dB."""
    pairs = {s: (shadow_sigma_db(s, True), shadow_sigma_db(s, False)) for s in Scenario}

    assert pairs == {
        Scenario.UMI: (4.0, 7.82),
        Scenario.UMA: (4.0, 6.0),
        Scenario.RMA: (4.0, 8.0),
    }


@pytest.mark.parametrize(
    ("change", "allowed"),
    [
        ({"distance_2d_m": 5001.0}, "0 to 5000 m"),
        ({"distance_2d_m": -1.0}, "0 to 5000 m"),
        ({"mhz": 450.0}, "500 to 100000 MHz"),
        ({"mhz": 28.0}, "500 to 100000 MHz"),
        ({"base_height_m": 0.5}, "2 to 150 m"),
        ({"user_height_m": 30.0}, "1.5 to 22.5 m"),
    ],
)
def test_outside_the_ranges_of_the_report_is_refused(
    change: dict[str, float], allowed: str
) -> None:
    """The sentence and the attribute both say what is allowed."""
    values = {"distance_2d_m": 100.0, "mhz": 3500.0} | change
    with pytest.raises(OutOfRange, match=allowed) as caught:
        path_loss_db(Scenario.UMI, los=True, **values)

    assert caught.value.allowed == allowed


def test_no_number_and_no_scenario_are_refused() -> None:
    """NaN is told apart from far away, and an unknown scenario names the known ones."""
    with pytest.raises(InvalidValue, match="distance is not a number"):
        path_loss_db(Scenario.UMI, float("nan"), 3500.0, los=True)
    with pytest.raises(InvalidValue, match="urban micro, street canyon, urban macro"):
        los_probability("indoor", 10.0)  # type: ignore[arg-type]
