"""RSSI, load and what a SINR carries; report indexes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, NoAnswer, OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.modulation import Modulation
from surveyapp.radio.quality import RULES_OF_THUMB, carried, load, rsrq_bounds_db, rssi_dbm
from surveyapp.radio.report_ranges import Report, report_index, report_interval

TENTH_MILLIBEL = 1e-4


@pytest.mark.parametrize(("blocks", "rssi"), [(25, -70.2206), (100, -64.2000)])
def test_rssi_follows_from_the_definition_of_rsrq(blocks: int, rssi: float) -> None:
    """Worked values for RSRP -95 dBm and RSRQ -10.8 dB (TS 36.214 clause 5.1.3)."""
    assert rssi_dbm(-95.0, -10.8, blocks) == pytest.approx(rssi, abs=TENTH_MILLIBEL)


def test_an_lte_cell_without_noise_lies_between_its_published_bounds() -> None:
    """-3.01 dB with only reference signals, -10.79 dB with every element in use."""
    full, empty = (-10.0 * math.log10(n) for n in (12.0, 2.0))

    assert full == pytest.approx(-10.79, abs=0.005)
    assert empty == pytest.approx(-3.01, abs=0.005)
    assert rsrq_bounds_db(40.0, Rat.LTE) == pytest.approx((full, empty), abs=0.003)


@settings(deadline=None)
@given(st.floats(0.0, 1.0), st.floats(-10.0, 40.0))
def test_load_comes_back_from_the_power_it_makes(share: float, sinr_db: float) -> None:
    """RSRQ built element by element: 2 reference, 10 data, 12 of noise, in one LTE block."""
    noise = 10.0 ** (-sinr_db / 10.0)
    rsrq_db = 10.0 * math.log10(1.0 / (2.0 + 10.0 * share + 12.0 * noise))

    assert load(rsrq_db, sinr_db, Rat.LTE) == pytest.approx(share, abs=1e-6)


def test_nr_says_less_about_load_than_lte() -> None:
    """NR has no reference signal in each window: the same values mean another load."""
    assert load(-8.0, 20.0, Rat.NR) == pytest.approx((10**0.8 - 0.12) / 12.0, abs=1e-9)
    assert load(-8.0, 20.0, Rat.LTE) == pytest.approx((10**0.8 - 2.12) / 10.0, abs=1e-9)
    assert rsrq_bounds_db(40.0, Rat.NR)[1] == 20.0


def test_rsrq_and_sinr_that_contradict_each_other_are_not_turned_into_a_load() -> None:
    """A clear signal with an RSRQ of noise cannot be; a decibel beyond a bound is rounding."""
    with pytest.raises(NoAnswer, match=r"between -10\.8 and -3\.3 dB"):
        load(-19.0, 20.0, Rat.LTE)
    with pytest.raises(NoAnswer, match="read both again"):
        load(-3.0, -5.0, Rat.LTE)
    assert load(-11.5, 25.0, Rat.LTE) == 1.0


def test_a_value_is_shown_by_what_it_carries() -> None:
    """Modulation and share of peak instead of a word; the mapping is the rates' own."""
    good = carried(20.0, Modulation.QAM64)

    assert (good.modulation, good.bits_per_element) == (Modulation.QAM64, 3.9023)
    assert good.share_of_peak == pytest.approx(3.9023 / 5.5547, rel=1e-12)
    assert good.words == "64QAM at rate 0.65, 70% of peak"
    assert carried(-15.0).words == "nothing gets through"
    assert carried(40.0).share_of_peak == 1.0


def test_each_rule_of_thumb_says_that_it_is_one() -> None:
    """None pretends to a source."""
    assert RULES_OF_THUMB
    for rule in RULES_OF_THUMB.values():
        assert rule.endswith("(common practice).")


@pytest.mark.parametrize(
    "values",
    [(84.0, -10.0, 100), (2147483647.0, -10.0, 100), (-95.0, 30.0, 100), (-95.0, -10.0, 0)],
)
def test_values_no_phone_reports_are_refused(values: tuple[float, float, int]) -> None:
    """+84 dBm, a filler value, an impossible RSRQ, no blocks."""
    with pytest.raises(OutOfRange, match="outside"):
        rssi_dbm(*values)


@pytest.mark.parametrize(
    ("quantity", "index", "low", "high"),
    [
        (Report.SS_RSRP, 1, -156.0, -155.0),
        (Report.SS_RSRP, 71, -86.0, -85.0),
        (Report.SS_RSRP, 126, -31.0, math.inf),
        (Report.SS_RSRQ, 0, -math.inf, -43.0),
        (Report.SS_RSRQ, 127, 20.0, math.inf),
        (Report.SS_SINR, 1, -23.0, -22.5),
        (Report.SS_SINR, 127, 40.0, math.inf),
        (Report.LTE_RSRP, 1, -140.0, -139.0),
        (Report.LTE_RSRP, 97, -44.0, math.inf),
        (Report.LTE_RSRQ, 34, -3.0, math.inf),
    ],
)
def test_report_indexes_stand_for_their_published_intervals(
    quantity: Report, index: int, low: float, high: float
) -> None:
    """TS 38.133 tables 10.1.6.1-1, 10.1.11.1-1, 10.1.16.1-1; LTE from memory."""
    assert report_interval(quantity, index) == (low, high)


@settings(deadline=None)
@given(st.sampled_from(list(Report)), st.floats(-200.0, 60.0))
def test_a_value_lies_in_the_interval_of_its_own_index(quantity: Report, value: float) -> None:
    """From value to index and back, over all quantities."""
    low, high = report_interval(quantity, report_index(quantity, value))

    assert low <= value < high


def test_an_index_that_does_not_exist_is_refused() -> None:
    """SS-RSRP 127 is reserved; NaN has no index."""
    with pytest.raises(OutOfRange, match="SS-RSRP has no report index 127: take 0 to 126"):
        report_interval(Report.SS_RSRP, 127)
    with pytest.raises(InvalidValue, match="not a number"):
        report_index(Report.SS_RSRP, float("nan"))
