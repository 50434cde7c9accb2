"""Heights as people write them: OpenStreetMap's height and level tags to metres.

Rules of the OpenStreetMap wiki (pages 'Key:height', 'Key:building:levels', 'Simple 3D
Buildings'; read from memory): a bare number is metres, feet are written `39 ft` or `39'`,
inches `5'6"`; `height` includes the roof, `building:levels` does not.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

METRES_A_LEVEL = 3.0  # common practice for a storey of a house
METRES_A_FOOT = 0.3048  # international foot, 1959
METRES_AN_INCH = 0.0254
TALLEST_M = 900.0  # above any building standing in 2026 (828 m, from memory)
MOST_LEVELS = 250.0

_NUMBER = r"([0-9]{1,6}(?:[.,][0-9]{1,6})?)"
_METRES = re.compile(rf"{_NUMBER}\s*(?:m|metres?|meters?)?", re.IGNORECASE)
_FEET = re.compile(rf"{_NUMBER}\s*(?:ft|feet|foot|['\u2032])", re.IGNORECASE)
_FEET_AND_INCHES = re.compile(rf"{_NUMBER}\s*['\u2032]\s*{_NUMBER}\s*(?:\"|\u2033|'')")
_THOUSANDS = re.compile(r",[0-9]{3}\b")


def length_m(text: str) -> float | None:
    """Metres of a length as tagged: '12', '12.5 m', '12,5', '39 ft', '5\\'6"'; else None."""
    text = text.strip()
    if _THOUSANDS.search(text):  # '1,200' may be a thousand or a decimal mark: not guessed
        return None
    if match := _METRES.fullmatch(text):
        return _number(match[1])
    if match := _FEET.fullmatch(text):
        return _number(match[1]) * METRES_A_FOOT
    if match := _FEET_AND_INCHES.fullmatch(text):
        return _number(match[1]) * METRES_A_FOOT + _number(match[2]) * METRES_AN_INCH
    return None


def building_height_m(tags: Mapping[str, str]) -> float | None:
    """Height of a building or building part above the ground in metres, its roof included.

    The stated `height`, else levels of 3 m each plus the stated roof; None where neither is
    given, readable and possible (above 0 and at most 900 m).
    """
    stated = _possible(length_m(tags.get("height", "")), TALLEST_M)
    if stated is not None:
        return stated
    levels = _possible(_count(tags.get("building:levels", "")), MOST_LEVELS)
    if levels is None:
        return None
    return _possible(round(levels * METRES_A_LEVEL + _roof_m(tags), 2), TALLEST_M)


def base_height_m(tags: Mapping[str, str]) -> float:
    """Metres above the ground at which a building part begins; 0 where nothing is stated."""
    stated = length_m(tags.get("min_height", ""))
    if stated is not None:
        return stated
    levels = _count(tags.get("building:min_level", ""))
    return 0.0 if levels is None else levels * METRES_A_LEVEL


def states_a_height(tags: Mapping[str, str]) -> bool:
    """True where the tags mean to give a height, readable or not."""
    return bool(tags.get("height") or tags.get("building:levels"))


def _roof_m(tags: Mapping[str, str]) -> float:
    stated = length_m(tags.get("roof:height", ""))
    if stated is not None:
        return stated
    levels = _count(tags.get("roof:levels", ""))
    return 0.0 if levels is None else levels * METRES_A_LEVEL


def _count(text: str) -> float | None:
    """Levels may be halves ('2.5') but carry no unit."""
    match = re.fullmatch(_NUMBER, text.strip())
    return None if match is None else _number(match[1])


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _possible(value: float | None, most: float) -> float | None:
    return value if value is not None and 0.0 < value <= most else None
