"""Positions and angles as typed: read exactly, or refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.position_text import parse_angle_deg, parse_position
from tests.geometry.position_writing import format_position, format_sexagesimal

BILLIONTH_DEG = 1e-9
HALF_TENTH_SECOND_DEG = 0.05 / 3600 + 1e-12
HALF_FIFTH_DECIMAL_DEG = 0.5e-5 + 1e-12


@pytest.mark.parametrize(
    "text",
    [
        "60.5, 24.25",
        "60.5,24.25",
        "  60.5   24.25 ",
        "+60.5, +24.25",
        "60,5; 24,25",
        "60.5; 24.25",
        "60.5N 24.25E",
        "60.5° n, 24.25° e",
        "N60.5 E24.25",
        "60°30'N 24°15'E",
        "60°30'00\"N 24°15'00.0\"E",
        "60 30 0 N, 24 15 0 E",
        "60 30.0 N 24 15.0 E",
        "60°30′0″N; 24°15’0”E",
        "N 60° 30' 0'' E 24° 15' 0''",
    ],
)
def test_every_usual_notation_gives_the_same_place(text: str) -> None:
    """Decimal point or comma, signs or letters, minutes and seconds in their usual marks."""
    assert parse_position(text) == pytest.approx((60.5, 24.25), abs=BILLIONTH_DEG)


def test_south_and_west_are_negative_in_sign_and_letter() -> None:
    """Also a minus as typography has it."""
    for text in ("-33.5, -70.25", "33.5S 70.25W", "33°30'S 70°15'W", "−33,5; −70,25"):
        assert parse_position(text) == pytest.approx((-33.5, -70.25), abs=BILLIONTH_DEG)


@pytest.mark.parametrize(
    "text",
    [
        "", "60.5", "60.5,", "60.5, 24.25, 0", "60,5, 24,25", "60,5 24,25", "60.5; 24.25; 1",
        "6e1, 24", "nan, 24", "inf, 24", "1_0, 24", "٦٠, 24", "0x3c, 24", "60.5 / 24.25",
        "60.5N, 24.25N", "24.25E, 60.5N", "60.5E 24.25N", "-60.5S, 24.25E", "N60.5N, E24.25",
        "60 30 0, 24 15 0", "-60 30 0, 24 15 0", "60.5°30'N 24°15'E", "60°30.5'10\"N 24°15'E",
        "60°60'N 24°15'E", "60°30'60\"N 24°15'E", "91, 0", "0, 181", "120.5, 60.2", "60°30' 24°15'",
        "90°00'01\"N 0E", "60..5, 24.25", "60.5, twenty", "60.5N", "- 60.5, 24.25", "6 0.5, 24.25",
        "9" * 200,
    ],
)  # fmt: skip
def test_what_is_not_plainly_a_place_is_refused(text: str) -> None:
    """Nothing is normalised, swapped, guessed or cut off."""
    with pytest.raises(InvalidValue) as caught:
        parse_position(text)

    assert str(caught.value).endswith(".")
    assert len(str(caught.value)) < 260


def test_swapped_letters_are_told_as_such() -> None:
    """Longitude first, even with its letter, is sent back with the order."""
    with pytest.raises(InvalidValue, match="E where N or S belongs"):
        parse_position("24.25E, 60.5N")
    with pytest.raises(OutOfRange, match="latitude comes first"):
        parse_position("120.5, 60.2")
    with pytest.raises(OutOfRange, match="stay below 60"):
        parse_position("60°60'N 24°15'E")


latitudes = st.floats(-90.0, 90.0)
longitudes = st.floats(-180.0, 180.0)


@given(latitudes, longitudes)
def test_what_is_written_reads_back_within_half_a_unit(lat_deg: float, lon_deg: float) -> None:
    """Five decimals or a tenth of a second, and never 60 of anything."""
    decimal = format_position(lat_deg, lon_deg)
    sexagesimal = format_sexagesimal(lat_deg, lon_deg)

    assert parse_position(decimal) == pytest.approx((lat_deg, lon_deg), abs=HALF_FIFTH_DECIMAL_DEG)
    assert parse_position(sexagesimal) == pytest.approx(
        (lat_deg, lon_deg), abs=HALF_TENTH_SECOND_DEG
    )
    assert "'60" not in sexagesimal
    assert "°60" not in sexagesimal


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "decimal", "sexagesimal"),
    [
        (60.1699, 24.9384, "60.16990, 24.93840", "60°10'11.6\"N 24°56'18.2\"E"),
        (-0.5, -0.5, "-0.50000, -0.50000", "0°30'00.0\"S 0°30'00.0\"W"),
        (59.999999, 9.99999999, "60.00000, 10.00000", "60°00'00.0\"N 10°00'00.0\"E"),
        (-0.0000001, 0.0, "0.00000, 0.00000", "0°00'00.0\"N 0°00'00.0\"E"),
    ],
)
def test_positions_round_to_whole_smallest_units_first(
    lat_deg: float, lon_deg: float, decimal: str, sexagesimal: str
) -> None:
    """Half a degree south keeps its sign, and nothing shows 60 seconds."""
    assert format_position(lat_deg, lon_deg) == decimal
    assert format_sexagesimal(lat_deg, lon_deg) == sexagesimal


def test_typed_angles_are_read_or_refused() -> None:
    """A degree sign and a decimal comma are fine; 361, -1, words and exponents are not."""
    assert parse_angle_deg(" 123,5° ", 0.0, 360.0) == 123.5
    assert parse_angle_deg("-12.5", -90.0, 90.0) == -12.5
    for text in ("361", "-1", "1e2", "north", "", "12 30", "1.2.3", "nan", "5" * 99):
        with pytest.raises(InvalidValue):
            parse_angle_deg(text, 0.0, 360.0)
