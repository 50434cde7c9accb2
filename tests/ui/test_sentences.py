"""Sentences put together from parts are known again by their form; lengths follow the units."""

from __future__ import annotations

from collections.abc import Iterator
from time import process_time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from surveyapp.languages import messages
from surveyapp.ui.sentences import Sentences
from surveyapp.ui.speech import Units, in_feet, length, speech, tr

WORDS = {
    "Stop {number} has no position yet.": "Halt {number} hat noch keinen Ort.",
    "{n} stops": "{n} Halte",
    "{stops} chosen.": "{stops} gewählt.",
    "you stand {number}° off its boresight at {distance}": "{number}° daneben, in {distance}",
    "partly hidden": "teils verdeckt",
    "Sight {name} from here.": "{name} von hier anpeilen.",
    "{before}, farther than anybody measured": "{before}, weiter als gemessen",
    "site": "Standort",
    "wall": "Wand",
}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Stop 3 has no position yet.", "Halt 3 hat noch keinen Ort."),
        ("3 stops chosen.", "3 Halte gewählt."),  # a value is said too
        ("Wall · 3 stops", "Wand · 3 Halte"),  # by its parts, whatever the first letter's case
        ("site\\nwall".replace("\\n", "\n"), "Standort\nWand"),
        (
            "Mill Street 3: you stand 8° off its boresight at 56 m, partly hidden.",
            "Mill Street 3: 8° daneben, in 56 m, teils verdeckt.",
        ),
        ("Sight site from here.", "site von hier anpeilen."),  # a name is the user's own word
        ("up to 60 m, farther than anybody measured", "up to 60 m, weiter als gemessen"),
        ("Lamp, wall", "Lamp, wall"),  # a list with a word that is not known is the user's
        ("Stop three has no position yet.", "Stop three has no position yet."),  # no number
        ("", ""),
    ],
)
def test_a_sentence_is_known_again_by_its_form(text: str, said: str) -> None:
    """Values move into the translation; what is not known stays as it is."""
    assert Sentences(WORDS).said(text) == said


@given(st.text(alphabet="abc ,.:;·{}\n-3°", max_size=40))
def test_any_text_is_said_in_the_end(text: str) -> None:
    """Nothing that was typed can hang or break the screen: it comes out with its letters."""
    assert Sentences(WORDS).said(text) == text


@pytest.mark.parametrize("piece", ["a if a serves, ", "3 of 3 ", "a: b; ", "x. ", "no · ", "–"])
def test_a_long_text_that_was_pasted_is_shown_at_once(piece: str) -> None:
    """With all of German in force, no text of 60,000 letters takes longer than two seconds."""
    german = Sentences(messages("de"))
    for text in (piece * 40, piece * (60_000 // len(piece))):
        begun = process_time()
        assert german.said(text)
        assert process_time() - begun < 2.0


@pytest.fixture
def in_us_units() -> Iterator[None]:
    """US units are in force."""
    speech.units = Units.US
    yield
    speech.units = Units.METRIC


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        ("Step 60 m east", "Step 197 ft east"),
        ("± 27 m by ± 15 m", "± 89 ft by ± 49 ft"),
        ("5 to 15 m", "16 to 49 ft"),
        ("1.25 km, bearing 12°", "4101 ft, bearing 12°"),
        ("Madrid is 2952 km away", "Madrid is 1834 mi away"),
        ("2 km", "1.2 mi"),
        ("rain of 4 mm/h", "rain of 4 mm/h"),
        ("n258 4×100 MHz, 10 m/s", "n258 4×100 MHz, 10 m/s"),
    ],
)
def test_lengths_of_a_text_are_said_in_feet_and_miles(
    metric: str, us: str, in_us_units: None
) -> None:
    """Whichever layer wrote them; 1 ft is 0.3048 m, 1 mi 1609.344 m (international foot, 1959)."""
    assert tr(metric) == in_feet(metric) == us
    assert tr(metric, False) == metric


def test_metres_stay_metres_where_they_are_in_force() -> None:
    """Metric is what is stored, and nothing is reckoned then."""
    assert tr("Step 60 m east") == "Step 60 m east"
    assert length(56.4) == "56 m"
