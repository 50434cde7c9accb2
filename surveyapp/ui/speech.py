"""How the program speaks: its language and its units of length. No Kivy here.

`tr` gives a text of the screen in the chosen language, a sentence put together from parts too
(see `sentences`); what the catalogue lacks stays English.
Values are stored in metres whatever is shown: `length` says one, and in texts that come
from below the screen `tr` says their lengths in the units in force.
"""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache

from surveyapp.languages import SOURCE, messages
from surveyapp.ui.letters import drawable
from surveyapp.ui.sentences import Sentences
from surveyapp.wording import MINUS, number

FOOT_M = 0.3048  # exact, international foot (1959)
MILE_M = 1609.344  # exact, international mile (1959)

_FIGURE = r"[−-]?\d[\d.]*"
_LENGTHS = re.compile(
    rf"(?<![\w.,/×])(?:({_FIGURE})( to | bis |–))?({_FIGURE}) (m|km)(?![\w/²])"
)  # '60 m', '5 to 15 m', '1.25 km'; no 'mm/h', no 'm/s'


class Units(StrEnum):
    """Units of length on screen."""

    METRIC = "metric"
    US = "US"


class Speech:
    """The language and the units in force."""

    def __init__(self) -> None:
        self.language = SOURCE
        self.units = Units.METRIC

    def tr(self, text: str, lengths: bool = True) -> str:
        """The text in the language in force, and its `lengths` in the units in force.

        Marks that cannot be drawn, such as those that turn a line around, are left out.
        """
        said = text if self.language == SOURCE else _sentences(self.language).said(text)
        return drawable(in_feet(said) if lengths and self.units is Units.US else said)


@lru_cache(maxsize=2)
def _sentences(language: str) -> Sentences:
    return Sentences(messages(language))


speech = Speech()
tr = speech.tr


def length(value_m: float, decimals: int = 0) -> str:
    """A length on screen: '56 m', '184 ft', '1.2 mi' from a mile on; metres stay metres."""
    if speech.units is Units.METRIC:
        return f"{number(value_m, decimals)} m"
    return _in_us_units(value_m, decimals)


def in_feet(text: str) -> str:
    """A text with its lengths in feet and miles: '60 m east' becomes '197 ft east'."""
    return _LENGTHS.sub(_said_in_feet, text)


def _said_in_feet(found: re.Match[str]) -> str:
    first, between, last, unit = found.groups()
    ends = [_in_us_units(*_metres(end, unit)) for end in (first, last) if end]
    if len(ends) == 2 and ends[0][-3:] == ends[1][-3:]:
        ends[0] = ends[0][:-3]  # '16 to 49 ft'
    return (between or "").join(ends)


def _metres(figure: str, unit: str) -> tuple[float, int]:
    """Metres, and the decimals that are worth saying."""
    value = float(figure.replace(MINUS, "-").rstrip("."))
    return (value * 1000.0, 0) if unit == "km" else (value, len(figure.partition(".")[2]))


def _in_us_units(value_m: float, decimals: int) -> str:
    if abs(value_m) >= MILE_M:
        return f"{number(value_m / MILE_M, 1 if abs(value_m) < 100 * MILE_M else 0)} mi"
    return f"{number(value_m / FOOT_M, decimals)} ft"
