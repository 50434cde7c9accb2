"""Rain, air, foliage, walls, and the link budget that lists them."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.radio.gas import gas_db_per_km, gas_loss_db
from surveyapp.radio.link_budget import Link, link_budget, usual_body_db
from surveyapp.radio.penetration import Shell, penetration_db, penetration_sigma_db
from surveyapp.radio.propagation import Scenario, path_loss_db
from surveyapp.radio.rain import rain_db_per_km, rain_loss_db
from surveyapp.radio.tables import source
from surveyapp.radio.vegetation import SHALLOW_M, foliage_db
from tests.radio.published import rows

MILLIONTH_DB = 1e-6
HUNDREDTH_DB = 0.01
LINK = Link(
    eirp_dbm=55.0, subcarriers=792, mhz=26_500.0, distance_2d_m=80.0, blocked=1.0, pattern_db=-3.0
)


def test_rain_agrees_with_the_published_validation_rows() -> None:
    """ITU-R's own five rows and four of an independent implementation, to 1e-6 dB/km."""
    table = rows("itu_p838_rain.csv")

    assert len(table) == 9
    for row in table:
        loss = rain_db_per_km(
            1000.0 * float(row["ghz"]),
            float(row["rain_mm_h"]),
            elevation_deg=float(row["elevation_deg"]),
            tilt_deg=float(row["tilt_deg"]),
        )

        assert loss == pytest.approx(float(row["db_per_km"]), abs=MILLIONTH_DB), row


def test_rain_on_a_street_is_its_length_of_the_kilometre() -> None:
    """A cloudburst costs a third of a decibel over 80 m at 26.5 GHz, nothing at 806 MHz."""
    loss = rain_loss_db(80.0, 26_500.0, 25.0)

    assert loss == pytest.approx(0.08 * rain_db_per_km(26_500.0, 25.0), rel=1e-12)
    assert 0.2 < loss < 0.5
    assert rain_loss_db(80.0, 806.0, 25.0) == 0.0
    assert rain_db_per_km(28_000.0, 0.0) == 0.0


@pytest.mark.parametrize(("mhz", "rain_mm_h"), [(800.0, 10.0), (28_000.0, -1.0), (28_000.0, 900.0)])
def test_rain_outside_the_recommendation_is_refused(mhz: float, rain_mm_h: float) -> None:
    """1 GHz to 1000 GHz and rain that can fall."""
    with pytest.raises(OutOfRange, match="outside"):
        rain_db_per_km(mhz, rain_mm_h)


def test_air_agrees_with_the_published_figures() -> None:
    """28, 39 and 60 GHz to a millionth, with the edition named in the table."""
    for row in rows("itu_p676_gas.csv"):
        loss = gas_db_per_km(1000.0 * float(row["ghz"]))

        assert loss == pytest.approx(float(row["db_per_km"]), abs=MILLIONTH_DB)
    assert "P.676-12" in source("gas_attenuation")


def test_air_is_negligible_on_a_street_but_near_sixty_gigahertz() -> None:
    """Below 0.1 dB over 200 m outside 50 to 70 GHz, 3 dB at 60 GHz."""
    mhz = np.concatenate([np.arange(500.0, 50_000.0, 100.0), np.arange(71_000.0, 1e5, 500.0)])

    assert (gas_loss_db(200.0, mhz) < 0.1).all()
    assert gas_loss_db(200.0, 60_000.0) == pytest.approx(0.2 * 14.77831664, abs=MILLIONTH_DB)
    with pytest.raises(OutOfRange, match="1 to 100000 MHz"):
        gas_db_per_km(2e5)


def test_foliage_follows_its_report() -> None:
    """Worked by hand: 10 m at 28 GHz is 0.45 x 28^0.284 x 10; 50 m takes the other branch."""
    assert foliage_db(10.0, 28_000.0) == pytest.approx(4.5 * 28**0.284, abs=MILLIONTH_DB)
    assert foliage_db(50.0, 3500.0) == pytest.approx(
        1.33 * 3.5**0.284 * 50**0.588, abs=MILLIONTH_DB
    )
    below, above = foliage_db(np.array([SHALLOW_M - 1e-9, SHALLOW_M]), 28_000.0)
    assert above == pytest.approx(below, rel=0.005)
    with pytest.raises(OutOfRange, match="0 to 400 m"):
        foliage_db(500.0, 3500.0)


@pytest.mark.parametrize(
    ("shell", "mhz", "loss_db"),
    [
        # by hand: 5 - 10 log10(0.3 x 10^-0.27 + 0.7 x 10^-1.9)
        (Shell.LOW_LOSS, 3500.0, 12.70),
        # 5 - 10 log10(0.3 x 10^-0.76 + 0.7 x 10^-11.7)
        (Shell.LOW_LOSS, 28_000.0, 17.83),
        # release 19 glass: 5 - 10 log10(0.7 x 10^-2.5785 + 0.3 x 10^-1.9)
        (Shell.HIGH_LOSS, 3500.0, 27.50),
        (Shell.HIGH_LOSS, 28_000.0, 35.03),
        (Shell.CAR, 3500.0, 9.0),
        (Shell.OUTDOORS, 3500.0, 0.0),
    ],
)
def test_walls_cost_what_the_report_says(shell: Shell, mhz: float, loss_db: float) -> None:
    """TR 38.901 tables 7.4.3-1 and -2, worked by hand."""
    assert penetration_db(shell, mhz) == pytest.approx(loss_db, abs=HUNDREDTH_DB)


def test_a_way_inside_costs_half_a_decibel_a_metre() -> None:
    """And only inside buildings; the scatter is that of the table."""
    deep, shallow = (
        penetration_db(Shell.LOW_LOSS, 3500.0, indoor_depth_m=metres) for metres in (10.0, 0.0)
    )

    assert deep - shallow == pytest.approx(5.0, abs=1e-12)
    assert penetration_db(Shell.CAR, 3500.0, indoor_depth_m=10.0) == 9.0
    assert [penetration_sigma_db(shell) for shell in Shell] == [0.0, 4.4, 6.5, 5.0]
    with pytest.raises(InvalidValue, match="building, plain glass"):
        penetration_db("tent", 3500.0)  # type: ignore[arg-type]


def test_a_link_budget_lists_where_every_decibel_went() -> None:
    """The terms add up to the RSRP, and free space, street and blocking to the path loss."""
    budget = link_budget(dataclasses.replace(LINK, rain_mm_h=25.0, foliage_m=5.0))
    terms = {term.name: term.db for term in budget.terms}

    assert list(terms) == [
        "EIRP of the carrier",
        "one of its subcarriers",
        "panel's pattern",
        "free space",
        "street",
        "blocked line of sight",
        "rain",
        "foliage",
        "hand and body",
    ]
    assert budget.rsrp_dbm == pytest.approx(sum(terms.values()), abs=1e-9)
    street = terms["free space"] + terms["street"] + terms["blocked line of sight"]
    assert -street == pytest.approx(path_loss_db(Scenario.UMI, 80.0, 26_500.0, los=False), abs=1e-9)
    assert terms["one of its subcarriers"] == pytest.approx(-10 * math.log10(792), abs=1e-9)
    assert terms["hand and body"] == -6.0
    assert all(db <= 0.0 for name, db in terms.items() if name != "EIRP of the carrier")
    assert budget.sigma_db == pytest.approx(7.82, abs=1e-9)


def test_what_is_not_in_the_way_is_not_listed() -> None:
    """A clear view outdoors in dry weather has six lines."""
    budget = link_budget(dataclasses.replace(LINK, blocked=0.0))

    assert len(budget.terms) == 6
    assert budget.terms[-1].why == "common practice"
    assert budget.sigma_db == 4.0


def test_a_blocking_that_only_may_be_counts_with_its_chance() -> None:
    """A quarter of it in the mean, and the doubt about it in the scatter."""
    free, quarter, whole = (
        link_budget(dataclasses.replace(LINK, blocked=chance)) for chance in (0.0, 0.25, 1.0)
    )
    taken = free.rsrp_dbm - whole.rsrp_dbm

    assert quarter.rsrp_dbm == pytest.approx(free.rsrp_dbm - 0.25 * taken, abs=1e-9)
    assert f"{taken:.0f} dB if so, counted at 25%" in quarter.terms[5].why
    spread = 0.75 * 4.0**2 + 0.25 * 7.82**2 + 0.25 * 0.75 * taken**2
    assert quarter.sigma_db == pytest.approx(math.sqrt(spread), abs=1e-9)


def test_air_and_walls_join_where_they_matter() -> None:
    """At 60 GHz the air is a line of its own; indoors the scatter grows."""
    link = dataclasses.replace(LINK, mhz=60_000.0, blocked=0.0, shell=Shell.LOW_LOSS, body_db=0.0)
    budget = link_budget(link)
    terms = {term.name: term for term in budget.terms}
    airless = link_budget(dataclasses.replace(link, air=False))

    assert "air" not in {term.name for term in airless.terms}
    assert terms["air"].db == pytest.approx(-gas_loss_db(math.hypot(80, 8.5), 60_000.0), abs=1e-9)
    assert "building, plain glass" in terms
    assert "hand and body" not in terms
    assert budget.sigma_db == pytest.approx(math.hypot(4.0, 4.4), abs=1e-9)
    assert (usual_body_db(3500.0), usual_body_db(28_000.0)) == (3.0, 6.0)


@pytest.mark.parametrize(
    "change",
    [{"pattern_db": 3.0}, {"eirp_dbm": 500.0}, {"subcarriers": 0}, {"blocked": 1.5},
     {"distance_2d_m": 9000.0}, {"body_db": -1.0}, {"foliage_m": 500.0}],
)  # fmt: skip
def test_a_link_outside_the_models_is_refused(change: dict[str, float]) -> None:
    """Never a budget of nonsense."""
    with pytest.raises(OutOfRange, match="outside"):
        link_budget(dataclasses.replace(LINK, **change))  # type: ignore[arg-type]
