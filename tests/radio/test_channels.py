"""Channels as typed: numbers, frequencies and bands."""

from __future__ import annotations

import pytest

from surveyapp.errors import InvalidValue, OutOfRange, SurveyError
from surveyapp.model import Rat
from surveyapp.radio.bands import all_bands, band
from surveyapp.radio.channels import band_mhz, carrier_mhz, channel, usual_channels
from surveyapp.radio.raster import lte_range, nr_mhz


@pytest.mark.parametrize(
    ("text", "mhz", "bands"),
    [
        ("nr 2079167", 28_000.08, ("n257", "n261")),  # 24250.08 + 0.06 x 62500
        ("NR-ARFCN 422000", 2110.0, ("n1", "n65", "n66")),
        ("gscn 22300", 25_010.4, ("n258",)),  # 24250.08 + 17.28 x 44
        ("lte 6300", 806.0, ("B20",)),  # 791 + 0.1 x 150
        ("earfcn 18000", 1920.0, ("B1",)),
        ("26.5 GHz", 26_500.0, ("n257", "n258")),
        ("3600 MHz", 3600.0, ("n48", "n77", "n78", "B42", "B43", "B48", "B49")),
        (" n258 ", 25_875.0, ("n258",)),
        ("b20", 806.0, ("B20",)),
    ],
)
def test_a_typed_channel_gives_its_frequency_and_every_band(
    text: str, mhz: float, bands: tuple[str, ...]
) -> None:
    """Values worked from the formulas of TS 38.104 and TS 36.104."""
    found = channel(text)

    assert found.mhz == pytest.approx(mhz, abs=1e-6)
    assert found.bands == bands


def test_a_frequency_lists_all_its_numbers() -> None:
    """The NR number, the nearest synchronisation number, and one LTE number a band."""
    assert channel("3600 MHz").numbers == {
        "nr": (640_000,),
        "gscn": (7916,),
        "lte": (43_590, 55_740, 57_240),
    }
    assert channel("lte 6300").numbers == {"lte": (6300,)}


def test_paired_channels_name_their_uplink() -> None:
    """Band 20 runs the other way round: its uplink lies 41 MHz above."""
    assert channel("lte 6300").uses[0].partner_mhz == pytest.approx(847.0, abs=1e-9)
    assert channel("n78").uses[0].partner_mhz is None


@pytest.mark.parametrize("text", ["", "28", "2600", "nr", "n", "nr 12x", "26,5 GHz", "x" * 5000])
def test_what_is_no_channel_is_refused_with_examples(text: str) -> None:
    """A bare number is ambiguous and never guessed."""
    with pytest.raises(InvalidValue, match="write it like nr 2079167"):
        channel(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("nr 3279166", "outside 0 to 3279165"),
        ("gscn 1", "outside 2 to 26639"),
        ("lte 7450", "No LTE band uses EARFCN 7450"),
        ("-5 GHz", "outside 0 to 100000 MHz"),
        ("12 GHz", "No band holds 12000 MHz"),
        ("nr 2150000", "No NR band holds"),
    ],
)
def test_places_that_do_not_exist_are_refused(text: str, sentence: str) -> None:
    """Outside the raster, or on it but in no band."""
    with pytest.raises(OutOfRange, match=sentence):
        channel(text)


def test_every_band_typed_alone_offers_numbers_inside_itself() -> None:
    """Lowest, middle and highest; the middle is the band's own frequency."""
    for name, entry in all_bands().items():
        low, high = entry.main_mhz
        offered = usual_channels(name)

        assert len(offered) == 3
        for number, mhz in offered:
            assert low - 0.06 <= mhz <= high + 0.06
            if entry.rat is Rat.NR:
                assert nr_mhz(number) == pytest.approx(mhz, abs=1e-6)
            else:
                assert lte_range(number).band == name
        assert offered[1][1] == band_mhz(name)


def test_the_offered_numbers_leave_room_for_the_carrier() -> None:
    """A 10 MHz carrier cannot sit at the edge of its band."""
    assert usual_channels("B20", 10.0) == ((6200, 796.0), (6300, 806.0), (6400, 816.0))
    with pytest.raises(OutOfRange, match="0 to 30 MHz"):
        usual_channels("B20", 40.0)


def test_a_recorded_carrier_tells_its_frequency_from_what_was_noted() -> None:
    """The typed frequency first, then the number, else nothing."""
    assert carrier_mhz(Rat.NR, 640_000, 3700.0) == 3700.0
    assert carrier_mhz(Rat.NR, 640_000, None) == 3600.0
    assert carrier_mhz(Rat.LTE, 6300, None) == 806.0
    assert carrier_mhz(Rat.LTE, None, None) is None


def test_every_refusal_is_one_the_project_can_catch() -> None:
    """One base class for all of them."""
    for text in ("n999", "lte 7450", "nonsense"):
        with pytest.raises(SurveyError):
            channel(text)
    assert band("n258").name == "n258"
