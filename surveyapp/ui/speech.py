"""How the program speaks: its language and its units of length. No Kivy here.

`tr` gives a text of the screen in the chosen language, a sentence put together from parts too
(see `sentences`); what the catalogue lacks stays English.
Values are stored in metres whatever is shown.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache

from surveyapp.languages import SOURCE, messages
from surveyapp.ui.sentences import Sentences
from surveyapp.wording import number

FOOT_M = 0.3048  # exact, international foot (1959)
MILE_M = 1609.344  # exact, international mile (1959)


class Units(StrEnum):
    """Units of length on screen."""

    METRIC = "metric"
    US = "US"


class Speech:
    """The language and the units in force."""

    def __init__(self) -> None:
        self.language = SOURCE
        self.units = Units.METRIC

    def tr(self, text: str) -> str:
        """The text in the language in force."""
        return text if self.language == SOURCE else _sentences(self.language).said(text)


@lru_cache(maxsize=2)
def _sentences(language: str) -> Sentences:
    return Sentences(messages(language))


speech = Speech()
tr = speech.tr


def length(value_m: float, decimals: int = 0) -> str:
    """A length on screen: '56 m', '184 ft', '1.2 mi' from a mile on; metres stay metres."""
    if speech.units is Units.METRIC:
        return f"{number(value_m, decimals)} m"
    if abs(value_m) >= MILE_M:
        return f"{number(value_m / MILE_M, 1)} mi"
    return f"{number(value_m / FOOT_M, decimals)} ft"
