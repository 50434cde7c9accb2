"""Channel numbers against the formulas' published pairs and against an independent package."""

from __future__ import annotations

import nrarfcn
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.errors import OutOfRange
from surveyapp.model import Rat
from surveyapp.radio.bands import all_bands
from surveyapp.radio.raster import (
    FIRST_GSCN,
    LAST_GSCN,
    LAST_NR_ARFCN,
    earfcns_at,
    gscn_at,
    gscn_mhz,
    lte_mhz,
    lte_range,
    lte_ranges,
    nr_arfcn,
    nr_mhz,
)
from tests.radio.published import rows

ONE_HERTZ_MHZ = 1e-6


def test_the_published_pairs_hold_both_ways() -> None:
    """31 published numbers, five of them of a second source, to a hertz and back again."""
    table = rows("channel_numbers.csv")

    assert len(table) == 31
    assert sum(row["note"] == "b" for row in table) == 5
    for row in table:
        number = int(row["number"])
        if not row["mhz"]:
            with pytest.raises(OutOfRange):
                nr_mhz(number)
            continue
        mhz = float(row["mhz"])
        if row["kind"] == "nr_arfcn":
            assert nr_mhz(number) == pytest.approx(mhz, abs=ONE_HERTZ_MHZ)
            assert nr_arfcn(mhz) == number
        elif row["kind"] == "gscn":
            assert gscn_mhz(number) == pytest.approx(mhz, abs=ONE_HERTZ_MHZ)
            assert gscn_at(mhz) == number
        else:
            assert lte_mhz(number) == pytest.approx(mhz, abs=ONE_HERTZ_MHZ)
            assert number in [n for _, n in earfcns_at(mhz)]


def test_every_gscn_comes_back_from_its_frequency() -> None:
    """All 26638 of them in one call, and a sample against the nrarfcn package."""
    numbers = np.arange(FIRST_GSCN, LAST_GSCN + 1)
    mhz = gscn_mhz(numbers)

    assert (gscn_at(mhz) == numbers).all()
    for number in range(FIRST_GSCN, LAST_GSCN + 1, 97):
        theirs = nrarfcn.get_frequency_by_gscn(number, release_3gpp=19)

        assert mhz[number - FIRST_GSCN] == pytest.approx(theirs, abs=ONE_HERTZ_MHZ)


@settings(deadline=None)
@given(st.integers(0, LAST_NR_ARFCN))
def test_any_nr_number_agrees_with_the_package_and_comes_back(number: int) -> None:
    """NR-ARFCN to MHz and back, over the whole raster."""
    mhz = float(nr_mhz(number))

    assert mhz == pytest.approx(nrarfcn.get_frequency(number), abs=ONE_HERTZ_MHZ)
    assert nr_arfcn(mhz) == number


def test_every_lte_range_starts_and_ends_where_the_package_says() -> None:
    """First and last number of each band and direction, with their frequencies."""
    ranges = lte_ranges()

    assert {entry.band for entry in ranges} == {
        name for name, entry in all_bands().items() if entry.rat is Rat.LTE
    }
    for entry in ranges:
        for number in (entry.first, entry.last):
            theirs = nrarfcn.get_frequency_by_lte_earfcn(number)

            assert lte_mhz(number) == pytest.approx(theirs, abs=ONE_HERTZ_MHZ)
            assert lte_range(number) == entry


def test_a_frequency_has_one_lte_number_in_each_band_that_holds_it() -> None:
    """2140 MHz lies in five downlinks."""
    found = {entry.band: number for entry, number in earfcns_at(2140.0)}

    assert found == {"B1": 300, "B4": 2250, "B10": 4450, "B65": 65836, "B66": 66736}


@pytest.mark.parametrize(
    ("convert", "number"),
    [(nr_mhz, 3_279_166), (nr_mhz, -1), (gscn_mhz, 1), (gscn_mhz, 26_640), (lte_mhz, 7_450)],
)
def test_a_number_outside_the_raster_is_refused(convert: object, number: int) -> None:
    """Never silently turned into some other place; the same inside an array."""
    with pytest.raises(OutOfRange, match=str(number)):
        convert(number)  # type: ignore[operator]
    with pytest.raises(OutOfRange, match=str(number)):
        convert(np.array([300, number]))  # type: ignore[operator]


def test_half_a_channel_number_is_refused() -> None:
    """Channel numbers are whole."""
    with pytest.raises(OutOfRange, match="whole number"):
        nr_mhz(np.array([1.5]))  # type: ignore[arg-type]
