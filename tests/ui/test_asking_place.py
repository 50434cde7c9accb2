"""The name of a place by touch: asked for by its button only, kept with its attribution."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.errors import NoNetwork
from surveyapp.model import Stop
from surveyapp.sensors.place_names import FakePlaceNames
from surveyapp.ui import asking_place
from tests.ui import filled, harness
from tests.ui.harness import Pilot
from tests.ui.place_scenes import touch

NAME = "Mill Street 3, Harbour (© OpenStreetMap contributors)"


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch) -> FakePlaceNames:
    """Stands for the network."""
    fake = FakePlaceNames(NAME)
    monkeypatch.setattr(asking_place, "service", lambda: fake)
    return fake


@pytest.fixture
def full(tmp_path: Path, service: FakePlaceNames) -> Iterator[Pilot]:
    """A full notebook at a stop without a place in words."""
    running = harness.start(filled.write(tmp_path / "place.notebook"), clock=lambda: filled.NOW)
    stop = running.session.stop
    running.session.save(replace(stop, place_text=""))
    yield running
    harness.stop(running)


def test_a_stops_place_is_named_by_the_button_alone(full: Pilot, service: FakePlaceNames) -> None:
    """Opening the sheet asks nobody; without a network that is said; with one the name comes
    with its attribution, is kept by a touch and taken back by Undo."""
    touch("Name of the place")(full)
    harness.frames(6)
    assert full.says("Nominatim of OpenStreetMap")
    assert service.asked == []
    service.answer = NoNetwork("No answer came.")
    full.touch("Ask for its name")
    harness.until(lambda: full.says("No answer came."))
    service.answer = NAME
    full.touch("Ask for its name")
    harness.until(lambda: full.says(NAME))
    full.touch("Keep it with the stop")
    harness.frames(6)

    stop = full.session.stop
    assert full.session.notebook.get(Stop, stop.id).place_text == NAME
    assert service.asked == [(stop.lat_deg, stop.lon_deg)] * 2
    full.session.undo()
    assert full.session.notebook.get(Stop, stop.id).place_text == ""


def test_a_sites_place_is_shown_on_its_page_from_then_on(
    full: Pilot, service: FakePlaceNames
) -> None:
    """The answer is kept by itself; the button is gone where it is known."""
    touch("Book", "Sites", "Mill Street 3", "Name of the place", "Ask for its name")(full)
    harness.until(lambda: full.says(NAME))
    full.touch("Close")
    harness.frames(6)

    assert full.says(NAME)
    assert not full.says("Name of the place")
    assert len(service.asked) == 1
