"""Resource blocks and the power of a resource element."""

from __future__ import annotations

import math

import pytest

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.resource_grid import (
    bandwidths_mhz,
    eirp_per_resource_element_dbm,
    resource_blocks,
    slots_per_second,
    usual_spacing_khz,
)

# TS 38.101-1 and -2 table 5.3.2-1, typed apart from the shipped table: MHz:RB
NR_BLOCKS = {
    (15, 3500.0): "5:25 10:52 15:79 20:106 25:133 30:160 40:216 50:270",
    (30, 3500.0): "5:11 10:24 15:38 20:51 25:65 30:78 40:106 50:133 60:162 70:189 80:217 90:245 "
    "100:273",
    (60, 3500.0): "10:11 15:18 20:24 25:31 30:38 40:51 50:65 60:79 70:93 80:107 90:121 100:135",
    (60, 28_000.0): "50:66 100:132 200:264",
    (120, 28_000.0): "50:32 100:66 200:132 400:264",
}


@pytest.mark.parametrize(("spacing_khz", "mhz"), NR_BLOCKS)
def test_nr_resource_blocks_are_those_of_the_standard(spacing_khz: int, mhz: float) -> None:
    """Each pair of bandwidth and spacing, in both frequency ranges."""
    for pair in NR_BLOCKS[spacing_khz, mhz].split():
        bandwidth, blocks = (int(part) for part in pair.split(":"))

        assert resource_blocks(bandwidth, spacing_khz, mhz=mhz) == blocks


def test_every_carrier_fits_into_its_bandwidth_with_a_guard_at_both_edges() -> None:
    """What the blocks fill is less than the channel, and at least 79 % of it above 5 MHz."""
    for spacing_khz in (15, 30, 60, 120, 480, 960):
        for mhz in (3500.0, 28_000.0):
            for width in bandwidths_mhz(spacing_khz, mhz=mhz):
                filled = resource_blocks(width, spacing_khz, mhz=mhz) * 12 * spacing_khz / 1000
                assert filled < width
                assert filled > 0.79 * width or width <= 5.0 or spacing_khz >= 60


def test_lte_carriers_have_their_own_blocks() -> None:
    """TS 36.101 table 5.6-1: 100 for 20 MHz, where NR has 106."""
    blocks = [resource_blocks(width, rat=Rat.LTE) for width in (1.4, 3, 5, 10, 15, 20)]

    assert blocks == [6, 15, 25, 50, 75, 100]
    assert resource_blocks(20) == 106


@pytest.mark.parametrize(
    ("arguments", "allowed"),
    [
        ({"bandwidth_mhz": 70, "spacing_khz": 15}, "3, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50 MHz"),
        ({"bandwidth_mhz": -20, "spacing_khz": 30}, "5, 10, 15, 20"),
        ({"bandwidth_mhz": 100, "spacing_khz": 45}, "15, 30, 60, 120, 480, 960 kHz"),
        ({"bandwidth_mhz": 10, "spacing_khz": 30, "rat": Rat.LTE}, "15 kHz"),
        ({"bandwidth_mhz": 50, "spacing_khz": 15, "rat": Rat.LTE}, "1.4, 3, 5, 10, 15, 20 MHz"),
        (
            {"bandwidth_mhz": 100, "spacing_khz": 30, "mhz": 28_000.0},
            "at 28000 MHz: take 60, 120, 480, 960 kHz",
        ),
        ({"bandwidth_mhz": float("nan"), "spacing_khz": 30}, "5, 10, 15, 20"),
    ],
)
def test_a_pair_that_does_not_exist_is_refused_with_the_ones_that_do(
    arguments: dict[str, float], allowed: str
) -> None:
    """70 MHz at 15 kHz, a negative width, an LTE carrier with an NR spacing, and more."""
    with pytest.raises(InvalidValue, match=allowed):
        resource_blocks(**arguments)  # type: ignore[arg-type]


def test_sixty_kilohertz_is_told_apart_by_the_frequency() -> None:
    """100 MHz have 135 blocks below 7.125 GHz and 132 above 24.25 GHz."""
    assert resource_blocks(100, 60) == resource_blocks(100, 60, mhz=3500.0) == 135
    assert resource_blocks(100, 60, mhz=28_000.0) == 132
    assert resource_blocks(200, 60) == 264


def test_a_resource_element_carries_its_share_of_the_carrier() -> None:
    """55 dBm over 66 blocks of 12 subcarriers are 26.01 dBm each."""
    each = eirp_per_resource_element_dbm(55.0, 12 * 66)

    assert each == pytest.approx(55.0 - 10.0 * math.log10(792), abs=1e-12)
    assert each == pytest.approx(26.0127, abs=1e-4)
    with pytest.raises(OutOfRange, match="-100 to 120 dBm"):
        eirp_per_resource_element_dbm(500.0, 792)
    with pytest.raises(OutOfRange, match="1 to 500000 subcarriers"):
        eirp_per_resource_element_dbm(55.0, 0)


def test_usual_spacings_and_slots() -> None:
    """120 kHz at 28 GHz with 8000 slots a second; 30 kHz at 3.5 GHz; 15 kHz for LTE."""
    assert usual_spacing_khz(28_000.0) == 120
    assert usual_spacing_khz(3500.0) == 30
    assert usual_spacing_khz(806.0, time_division=False) == 15
    assert usual_spacing_khz(3500.0, rat=Rat.LTE) == 15
    assert slots_per_second(120) == 8000.0
