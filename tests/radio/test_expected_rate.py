"""Expected rates, and the SINR mapping they rest on."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.radio.bands import Direction
from surveyapp.radio.expected_rate import expected_rate
from surveyapp.radio.link_adaptation import (
    ALPHA_HIGH,
    ALPHA_LIKELY,
    coding_row,
    link_choice,
    shannon_efficiency,
)
from surveyapp.radio.modulation import Modulation, cqi_rows
from surveyapp.radio.rate_notation import link_carriers
from surveyapp.radio.tdd import tdd_pattern
from tests.radio.published import rows

MILLIMETRE = link_carriers("4x100@120kHz:2L64QAM")
NSA = link_carriers("4x100@120kHz:2L64QAM + lte 10:2L64QAM")
ONE_DB = 1.0


def test_the_upper_mapping_is_what_the_codes_reach_in_plain_noise() -> None:
    """Simulated 10 % block errors of 71 MCS rows: half a decibel on average, 2.5 dB at 256QAM.

    The likely mapping always asks for more than plain noise would: it leaves room for fading.
    """
    table = rows("nr_awgn_thresholds.csv")
    above_db = []
    for row in table:
        efficiency, simulated_db = float(row["efficiency"]), float(row["sinr_db"])
        upper_db, likely_db = (
            10.0 * math.log10(2.0 ** (efficiency / alpha) - 1.0)
            for alpha in (ALPHA_HIGH, ALPHA_LIKELY)
        )
        above_db.append(upper_db - simulated_db)

        assert likely_db > simulated_db + ONE_DB, row

    assert len(table) == 71
    assert sum(above_db) / len(above_db) == pytest.approx(0.0, abs=0.5 * ONE_DB)
    assert min(above_db) > -ONE_DB
    assert max(above_db) < 2.5 * ONE_DB


def test_a_millimetre_wave_link_is_put_together_step_by_step() -> None:
    """Worked by hand: 14 dB, DDDSU 10:2:2, four carriers of 66 blocks.

    Two layers at 10.99 dB: 0.6 log2(1 + 12.56) = 2.257, so CQI 8 (16QAM, 490/1024). One slot:
    N' = 12 x 12 - 12 - 6 = 126, x 66 blocks x 490/1024 x 4 bits x 2 layers = 31835; minus 24
    over 2^9 rounds to 62, so 31744; 4 code blocks: 8 x 4 x ceil(31768/32) - 24 = 31752 bits.
    8000 slots, 52/70 of the time, 0.9 first time, 0.95 payload, 4 carriers.
    """
    expected = expected_rate(MILLIMETRE, 14.0, tdd=tdd_pattern("DDDSU"))

    assert expected.parts[0].choice.row == cqi_rows(1)[7]
    assert expected.likely_mbps == pytest.approx(
        4 * 31_752 * 8000e-6 * 52 / 70 * 0.9 * 0.95, rel=1e-12
    )
    assert expected.peak_mbps == pytest.approx(3232.262880, abs=1e-6)


@settings(deadline=None)
@given(st.floats(-23.0, 40.0), st.sampled_from(list(Direction)))
def test_the_range_is_in_order_and_below_the_peak(sinr_db: float, direction: Direction) -> None:
    """Low, likely, high, peak, whatever the SINR and direction."""
    expected = expected_rate(NSA, sinr_db, tdd=tdd_pattern("DDDSU"), direction=direction)

    assert 0.0 <= expected.low_mbps <= expected.likely_mbps
    assert expected.likely_mbps <= expected.high_mbps < expected.peak_mbps


def test_more_sinr_never_means_less() -> None:
    """In steps of half a decibel over all that a phone reports."""
    rates = [
        expected_rate(NSA, half / 2, tdd=tdd_pattern("DDDSU")).likely_mbps
        for half in range(-46, 81)
    ]

    assert rates == sorted(rates)
    assert rates[0] == 0.0


def test_each_carrier_may_have_its_own_sinr() -> None:
    """The anchor is measured apart: its share follows its own value."""
    both = expected_rate(NSA, [14.0, 3.0], tdd=tdd_pattern("DDDSU"))
    alone = expected_rate(MILLIMETRE, 14.0, tdd=tdd_pattern("DDDSU"))
    anchor = both.parts[1]

    assert both.parts[0].likely_mbps == alone.likely_mbps
    assert anchor.sinr_db == 3.0
    assert anchor.share == 1.0
    assert both.likely_mbps == pytest.approx(alone.likely_mbps + anchor.likely_mbps, rel=1e-12)
    with pytest.raises(InvalidValue, match="3 SINR values do not fit 2 kinds"):
        expected_rate(NSA, [1.0, 2.0, 3.0])


def test_each_carrier_may_have_its_own_pattern() -> None:
    """A paired low band beside a time-division one, and a time-division LTE carrier."""
    carriers = link_carriers("1x20@15kHz:2L64QAM + 1x100@30kHz:4L256QAM + lte 20:2L64QAM")
    pattern = tdd_pattern("DDDSU 6:4:4")
    expected = expected_rate(carriers, 15.0, tdd=[None, pattern, pattern])

    assert [part.share for part in expected.parts] == pytest.approx([1.0, 48 / 70, 48 / 70])
    with pytest.raises(InvalidValue, match="2 pattern values do not fit 3 kinds"):
        expected_rate(carriers, 15.0, tdd=[pattern, None])


def test_a_weak_link_falls_back_to_one_layer() -> None:
    """Two layers at 0 dB would get -3 dB each; one layer carries more."""
    assert link_choice(-6.0, Modulation.QAM64, 4).layers == 1
    assert link_choice(30.0, Modulation.QAM64, 4).layers == 4


def test_the_mapping_is_the_named_one() -> None:
    """0.6 log2(1 + SINR), nothing below -10 dB; the CQI row never lies above it."""
    assert shannon_efficiency(0.0) == pytest.approx(0.6, abs=1e-12)
    assert shannon_efficiency(20.0) == pytest.approx(0.6 * math.log2(101.0), abs=1e-12)
    assert shannon_efficiency(-10.1) == 0.0
    row = coding_row(20.0)
    assert row is not None
    assert row.efficiency <= shannon_efficiency(20.0)
    assert coding_row(-10.1) is None
    best = coding_row(40.0, Modulation.QAM16)
    assert best is not None
    assert best.modulation is Modulation.QAM16


def test_the_make_up_is_told_in_words() -> None:
    """What is used, how much of the time, and which assumptions stand behind it."""
    expected = expected_rate(NSA, 14.0, tdd=tdd_pattern("millimetre wave"), cell_share=0.5)

    assert expected.parts[0].words == (
        "4x100@120kHz:2L64QAM: 2 layers of 16QAM at code rate 0.48, 74% of the time, 323 Mbit/s"
    )
    text = " ".join(expected.notes)
    assert "No standard ties SINR to a rate" in text
    assert "50% of the cell" in text
    assert "DDDSU 10:2:2" in text
    assert "LTE is counted from resource elements" in text
    assert "nothing gets through" in expected_rate(MILLIMETRE, -20.0).parts[0].words


def test_a_measured_rate_is_told_as_a_share() -> None:
    """Half of what was likely is one half; nothing expected gives nothing."""
    expected = expected_rate(MILLIMETRE, 14.0)

    assert expected.share(expected.likely_mbps / 2) == pytest.approx(0.5, rel=1e-12)
    assert expected_rate(MILLIMETRE, -20.0).share(100.0) == 0.0


@pytest.mark.parametrize("sinr_db", [90.0, -30.0, 40.5])
def test_a_sinr_no_phone_reports_is_refused(sinr_db: float) -> None:
    """TS 38.133: -23 to 40 dB."""
    with pytest.raises(OutOfRange, match="-23 to 40 dB"):
        expected_rate(MILLIMETRE, sinr_db)


@pytest.mark.parametrize("cell_share", [0.0, -1.0, 1.5])
def test_a_share_of_the_cell_lies_between_nothing_and_all(cell_share: float) -> None:
    """Others can leave less, never more."""
    with pytest.raises(OutOfRange, match="share of the cell"):
        expected_rate(MILLIMETRE, 14.0, cell_share=cell_share)
