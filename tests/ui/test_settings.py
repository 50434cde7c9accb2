"""Settings do what they say at once, and are there in the next session: language, units, hand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from surveyapp.ui.speech import Units, speech
from surveyapp.ui.theme import theme
from tests.ui import field_day, filled, harness
from tests.ui.harness import Pilot, frames
from tests.ui.place_scenes import touch


@pytest.fixture
def settings(tmp_path: Path) -> Iterator[Pilot]:
    """A full notebook with its settings open."""
    pilot = harness.start(filled.write(tmp_path / "set.notebook"), clock=lambda: filled.NOW)
    touch("Book", "Settings")(pilot)
    frames(4)
    yield pilot
    harness.stop(pilot)


def places_of(pilot: Pilot, *words: str) -> list[float]:
    """How far from the left these targets begin."""
    return [pilot.find(word).to_window(*pilot.find(word).pos)[0] for word in words]


def test_german_is_spoken_on_the_stop_page_the_bar_and_the_sheets(settings: Pilot) -> None:
    """One touch; the user's own words stay as they are, and so does what is stored."""
    settings.touch("Deutsch")
    frames(4)
    assert settings.says("Einstellungen")
    settings.touch("Stop")
    frames(6)
    for word in ("Halt 3", "Neuer Halt", "Peilung", "Messlauf", "Einträge", "Mill Street 3"):
        assert settings.says(word), word
    settings.touch("Sighting")
    frames(2)
    assert settings.says("Peilrichtung")
    assert settings.says("Sichern")
    assert settings.says("Sicht")


def test_feet_are_shown_and_metres_kept(settings: Pilot) -> None:
    """The stop's eight metres read as 26 ft, and are still eight in the notebook."""
    settings.touch("Feet and miles")
    settings.touch("Stop")
    frames(6)

    assert settings.says("± 26 ft")
    assert settings.says("184 ft")
    assert settings.session.stop.position_sigma_m == 8.0


def test_the_left_hand_has_next_and_del_on_its_side(settings: Pilot) -> None:
    """The digits keep their order."""
    settings.touch("Left hand")
    settings.touch("Stop")
    settings.touch("Speed run")
    frames(4)
    erase, one, two = places_of(settings, "Del", "1", "2")
    after, before = places_of(settings, "Next", "Previous")
    assert erase < one < two
    assert after < before
    field_day.keys(settings, "1480")

    assert settings.router.sheets[-1].state.text("down") == "1480"


def test_settings_are_there_in_the_next_session(settings: Pilot) -> None:
    """Language, units and hand come back with the notebook."""
    for word in ("Deutsch", "Fuß und Meilen", "Linke Hand"):
        settings.touch(word)
        frames(4)
    path = settings.session.notebook.path
    harness.stop(settings)
    again = harness.start(path, clock=lambda: filled.NOW)
    kept = (theme.language, speech.units, theme.left_handed)
    harness.stop(again)

    assert kept == ("de", Units.US, True)
