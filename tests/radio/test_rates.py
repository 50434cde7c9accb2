"""Peak rates and their notation."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.bands import Direction
from surveyapp.radio.lte_rate import SPREAD, lte_peak_mbps
from surveyapp.radio.modulation import Modulation
from surveyapp.radio.rate_notation import link_carriers
from surveyapp.radio.rates import LinkCarrier, peak_mbps
from tests.radio.published import rows

ONE_BIT_PER_SECOND = 1e-6

# Largest transport blocks of TS 36.213 table 7.1.7.2.1-1, one layer, rows I_TBS 26 and 33, by
# resource blocks (from memory)
LTE_LARGEST_BITS = {
    Modulation.QAM64: {6: 4392, 15: 11_064, 25: 18_336, 50: 36_696, 75: 55_056, 100: 75_376},
    Modulation.QAM256: {25: 24_496, 50: 48_936, 75: 73_712, 100: 97_896},
}


def test_peak_rates_agree_with_the_formula_evaluated_elsewhere() -> None:
    """Ten published carriers, up and down, to one bit per second."""
    table = rows("nr_peak_rates.csv")

    assert len(table) == 10
    for row in table:
        rate = peak_mbps(link_carriers(row["carriers"]), direction=Direction(row["direction"]))

        assert rate == pytest.approx(float(row["mbps"]), abs=ONE_BIT_PER_SECOND), row


def test_carriers_add_up_and_the_scaling_factor_scales() -> None:
    """Two kinds joined by a plus; factor 0.75 of TS 38.306."""
    both = link_carriers("1x100@30kHz:4L256QAM + 4x100@120kHz:2L64QAM")

    assert peak_mbps(both) == pytest.approx(2337.000120 + 3232.262880, abs=2e-6)
    assert peak_mbps(both, scaling=0.75) == pytest.approx(0.75 * peak_mbps(both), rel=1e-12)
    with pytest.raises(InvalidValue, match=r"take 1, 0\.8, 0\.75, 0\.4"):
        peak_mbps(both, scaling=0.9)


@pytest.mark.parametrize("modulation", LTE_LARGEST_BITS)
def test_lte_peaks_lie_close_to_the_largest_blocks_of_their_table(
    modulation: Modulation,
) -> None:
    """Counting elements gives what TS 36.213 does, or up to 8 % more, as it says of itself."""
    for blocks, bits in LTE_LARGEST_BITS[modulation].items():
        for layers in (1, 2):
            counted = lte_peak_mbps(blocks=blocks, layers=layers, modulation=modulation)
            tabled = layers * bits * 1e-3

            assert 0.995 <= counted / tabled <= 1.0 + SPREAD, (blocks, layers)


@pytest.mark.parametrize(
    ("text", "carrier"),
    [
        (
            "4x100@120kHz:2L64QAM",
            LinkCarrier(count=4, bandwidth_mhz=100, spacing_khz=120, layers=2),
        ),
        (
            "100 MHz @ 30 kHz : 4L 256-QAM / table 2",
            LinkCarrier(bandwidth_mhz=100, spacing_khz=30, layers=4, mcs_table=2,
                        modulation=Modulation.QAM256),
        ),
        ("LTE 10:2L64QAM", LinkCarrier(rat=Rat.LTE, bandwidth_mhz=10, layers=2)),
        ("lte 1.4:1LQPSK", LinkCarrier(rat=Rat.LTE, bandwidth_mhz=1.4, layers=1,
                                       modulation=Modulation.QPSK)),
    ],
)  # fmt: skip
def test_the_notation_is_read_and_written_back(text: str, carrier: LinkCarrier) -> None:
    """Spaces and case do not matter; the text form of a carrier reads as the same carrier."""
    assert link_carriers(text) == (carrier,)
    assert link_carriers(str(carrier)) == (carrier,)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("1x100@30kHz:1008L64QAM", "1008 layers are not possible on an NR downlink: take 1 to 8"),
        ("1x70@15kHz:2L64QAM", "70 MHz does not exist with 15 kHz spacing: take 3, 5, 10"),
        ("1x100@30kHz:2L256QAM/table1", "MCS table 1 has no 256QAM"),
        ("1x-100@30kHz:2L64QAM", "-100 MHz does not exist with 30 kHz"),
        ("lte 10@30kHz:2L64QAM", "LTE has no subcarrier spacing of 30 kHz: take 15 kHz"),
        ("1x20@30kHz:2L512QAM", "no modulation '512QAM'"),
        ("0x20@30kHz:2L64QAM", "0 carriers are not possible: take 1 to 32"),
        ("1x100:2L64QAM", "lacks the subcarrier spacing"),
        ("", "write it like 4x100@120kHz:2L64QAM"),
        ("4x100@120kHz:2L64QAM +", "write it like"),
        ("9" * 3000, "write it like"),
    ],
)
def test_bad_carriers_are_refused_with_what_is_allowed(text: str, sentence: str) -> None:
    """Each of the usual slips, in one sentence."""
    with pytest.raises(InvalidValue, match=sentence):
        link_carriers(text)


def test_an_uplink_has_at_most_four_layers() -> None:
    """Eight are fine downwards only."""
    eight = link_carriers("1x100@30kHz:8L64QAM")

    assert peak_mbps(eight) > 0.0
    with pytest.raises(OutOfRange, match="1 to 4"):
        peak_mbps(eight, direction=Direction.UP)
