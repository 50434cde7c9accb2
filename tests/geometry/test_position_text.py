"""Positions as typed or pasted: read exactly, or refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, OutOfRange
from surveyapp.geometry.position_text import (
    parse_latitude_deg,
    parse_longitude_deg,
    parse_position,
)
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


@pytest.mark.parametrize(
    ("text", "lat_deg", "lon_deg"),
    [
        # Geocentric Datum of Australia technical manual, worked example of Vincenty's formulae:
        # Flinders Peak and Buninyong, in both forms there (from memory)
        ("37°57'03.72030\"S 144°25'29.52440\"E", -37.951033417, 144.424867889),
        ("37 39 10.15610 S, 143 55 35.38390 E", -37.652821139, 143.926495528),
        # ISO 6709:2008, annex D, how positions are written for people (from memory)
        ("50°40′46,461″N 95°48′26,533″W", 50.67957250, -95.807370278),
        ("60,5N 24,25E", 60.5, 24.25),
        ("N60,5; E24,25", 60.5, 24.25),
        ("60°30,0'N, 24°15,0'E", 60.5, 24.25),
    ],
)
def test_minutes_seconds_and_decimal_commas_are_read(
    text: str, lat_deg: float, lon_deg: float
) -> None:
    """Published positions in the form they are published in, also with a decimal comma."""
    assert parse_position(text) == pytest.approx((lat_deg, lon_deg), abs=BILLIONTH_DEG)


@pytest.mark.parametrize(
    ("uri", "lat_deg", "lon_deg"),
    [  # RFC 5870's own examples (from memory)
        ("geo:13.4125,103.8667", 13.4125, 103.8667),
        ("geo:48.2010,16.3695,183", 48.2010, 16.3695),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648),
        ("geo:90,-22.43;crs=WGS84", 90.0, -22.43),
        ("geo:22.300,-118.44", 22.3, -118.44),
        ("geo:66,30;u=6.500;FOo=this%2dthat", 66.0, 30.0),
        ("GEO:66.0,30;u=6.5;foo=this-that", 66.0, 30.0),
    ],
)
def test_a_pasted_geo_uri_is_a_place(uri: str, lat_deg: float, lon_deg: float) -> None:
    """The examples of the standard; height, uncertainty and other parameters are passed over."""
    assert parse_position(f" {uri} ") == (lat_deg, lon_deg)


@pytest.mark.parametrize(
    "uri",
    [
        "geo:", "geo:60.5", "geo:60.5;24.25", "geo:60,5,24,25", "geo:+60.5,24.25", "geo:6e1,24",
        "geo:60.5, 24.25", "geo:0,0?q=harbour", "geo:60.5,24.25;crs=nad27", "geo:91,0",
        "geo:0,180.5", "geo:60.5,24.25;u=-3", "geo:60.5N,24.25E", "geo:1,2;x=" + "y" * 200,
    ],
)  # fmt: skip
def test_what_is_no_geo_uri_of_a_place_is_refused(uri: str) -> None:
    """Searches, other coordinate systems, other numbers: one plain sentence each."""
    with pytest.raises(InvalidValue) as caught:
        parse_position(uri)

    assert str(caught.value).endswith(".")


def test_half_a_position_is_read_by_itself() -> None:
    """A column of a table holds one of them; the other half's letter is told."""
    assert parse_latitude_deg("60,5") == parse_latitude_deg(" 60°30'N ") == 60.5
    assert parse_longitude_deg("24°15'00,0\"W") == parse_longitude_deg("-24.25°") == -24.25
    with pytest.raises(InvalidValue, match="E where N or S belongs"):
        parse_latitude_deg("24°15'E")
    for text in ("91", "", "north", "60 30", "1e1", "60,5 N 24,25 E", "1.2.3", "nan", "5" * 99):
        with pytest.raises(InvalidValue):
            parse_latitude_deg(text)
