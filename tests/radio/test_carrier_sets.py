"""Sets of carriers in words and sums."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue
from surveyapp.model import Carrier, Rat, Role, SectorCarrier
from surveyapp.radio.carrier_sets import band_excess_mhz, carrier_set_name, total_bandwidth_mhz

FOUR_WIDE = Carrier(rat=Rat.NR, count=4, bandwidth_mhz=100, channel=2_054_167)
ANCHOR = Carrier(role=Role.ANCHOR, rat=Rat.LTE, bandwidth_mhz=10, band="B20")


@pytest.mark.parametrize(
    ("carriers", "name"),
    [
        ([FOUR_WIDE, ANCHOR], "4 x 100 MHz at 26.5 GHz, with 10 MHz LTE anchor"),
        ([FOUR_WIDE], "4 x 100 MHz at 26.5 GHz"),
        ([ANCHOR], "10 MHz LTE anchor"),
        ([Carrier(bandwidth_mhz=100, band="n78")], "100 MHz in n78"),
        ([Carrier(mhz=3600.0)], "NR carrier at 3.6 GHz"),
        ([Carrier(rat=Rat.LTE, bandwidth_mhz=20, channel=6300)], "20 MHz LTE at 806 MHz"),
        (
            [SectorCarrier(bandwidth_mhz=20, mhz=3600), SectorCarrier(rat=Rat.LTE, band="B3")],
            "20 MHz at 3.6 GHz, with LTE anchor (B3)",
        ),
        ([], "no carriers"),
    ],
)
def test_a_set_of_carriers_has_a_plain_name(carriers: list[Carrier], name: str) -> None:
    """As a surveyor would say it."""
    assert carrier_set_name(carriers) == name


def test_carriers_are_summed_over_all_or_one_technology() -> None:
    """Four hundred megahertz of NR and ten of LTE; an unknown width counts nothing."""
    carriers = [FOUR_WIDE, ANCHOR, Carrier()]

    assert total_bandwidth_mhz(carriers) == 410.0
    assert total_bandwidth_mhz(carriers, Rat.NR) == 400.0


def test_more_than_a_band_holds_is_noticed() -> None:
    """850 MHz of spectrum cannot hold 3 x 400 MHz."""
    wide = Carrier(count=3, bandwidth_mhz=400, band="n261")

    assert band_excess_mhz([wide]) == {"n261": 350.0}
    assert band_excess_mhz([FOUR_WIDE, ANCHOR]) == {}


@pytest.mark.parametrize("carrier", [Carrier(bandwidth_mhz=-20), Carrier(count=0)])
def test_negative_widths_and_no_carriers_are_refused(carrier: Carrier) -> None:
    """Never summed into a wrong total."""
    with pytest.raises(InvalidValue, match="makes no sense"):
        total_bandwidth_mhz([carrier])
