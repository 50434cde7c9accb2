"""Heights and levels as OpenStreetMap writes them (wiki 'Key:height', from memory)."""

from __future__ import annotations

import pytest

from surveyapp.exchange.building_heights import base_height_m, building_height_m, length_m

one_millimetre = 0.001


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("12", 12.0),
        ("12.5", 12.5),
        ("12,5", 12.5),
        ("12 m", 12.0),
        ("12.13m", 12.13),
        (" 7 metres ", 7.0),
        ("39 ft", 11.8872),  # 0.3048 m a foot: international yard and pound agreement, 1959
        ("39'", 11.8872),
        ("5'6\"", 1.6764),
        ("7' 4\"", 2.2352),
    ],
)
def test_a_length_is_read_in_each_usual_notation(text: str, metres: float) -> None:
    """Bare numbers are metres; feet and inches are turned into metres."""
    assert length_m(text) == pytest.approx(metres, abs=one_millimetre)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "tall",
        "-3",
        "nan",
        "inf",
        "1e3",
        "12;15",
        "12-15",
        "1,200",
        "~10",
        "٣",
        "12 km",
        "9" * 40,
    ],
)
def test_what_is_no_plain_length_is_not_guessed(text: str) -> None:
    """A range, a list, a sign or a word gives no height rather than a wrong one."""
    assert length_m(text) is None


@pytest.mark.parametrize(
    ("tags", "metres"),
    [
        ({"height": "18.03", "building:levels": "9"}, 18.03),
        ({"building:levels": "6"}, 18.0),
        ({"building:levels": "2.5"}, 7.5),
        ({"building:levels": "4", "roof:height": "2.2"}, 14.2),
        ({"building:levels": "4", "roof:levels": "1"}, 15.0),
        ({"height": "about 20", "building:levels": "5"}, 15.0),
        ({"building:levels": "2.1"}, 6.3),
    ],
)
def test_height_comes_from_the_tag_else_from_levels_and_roof(
    tags: dict[str, str], metres: float
) -> None:
    """A stated height wins; else three metres a level and the stated roof on top."""
    assert building_height_m(tags) == metres


@pytest.mark.parametrize(
    "tags",
    [
        {},
        {"height": "0"},
        {"height": "5000"},
        {"building:levels": "0"},
        {"building:levels": "900"},
        {"building:levels": "5;6"},
        {"roof:levels": "2"},
    ],
)
def test_an_impossible_or_missing_height_is_unknown(tags: dict[str, str]) -> None:
    """No building is 0 m or 5 km high, and a roof alone says nothing of the walls."""
    assert building_height_m(tags) is None


def test_a_part_may_begin_above_the_ground() -> None:
    """`min_height` in metres, else `building:min_level` at three metres a level."""
    assert base_height_m({"min_height": "4.5 m", "building:min_level": "9"}) == 4.5
    assert base_height_m({"building:min_level": "2"}) == 6.0
    assert base_height_m({}) == 0.0
