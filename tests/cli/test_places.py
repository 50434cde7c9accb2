"""`surveyapp places`: names asked for, only where asked and only where missing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from surveyapp.commands import places
from surveyapp.errors import NoNetwork
from surveyapp.model import Stop, Survey
from surveyapp.sensors.place_names import FakePlaceNames
from surveyapp.store.notebook import Notebook

Answer = Callable[..., dict[str, Any]]
NAME = "Mill Street 3 (© OpenStreetMap contributors)"
NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    """Stops with a place in words, without one, and without a position."""
    path = tmp_path / "walk.notebook"
    with Notebook.create(path) as made:
        made.save(
            Survey(id="survey", title="Walk"),
            Stop(survey_id="survey", number=1, time_utc=NOON, lat_deg=60.1, lon_deg=24.9,
                 place_text="By the mill"),
            Stop(survey_id="survey", number=2, time_utc=NOON, lat_deg=60.2, lon_deg=24.9),
            Stop(survey_id="survey", number=3, time_utc=NOON),
        )  # fmt: skip
    return path


@pytest.fixture
def service(monkeypatch: pytest.MonkeyPatch) -> FakePlaceNames:
    """Stands for the network."""
    fake = FakePlaceNames(NAME)
    monkeypatch.setattr(places, "_service", lambda: fake)
    return fake


def test_only_what_lacks_a_name_is_asked_for_and_once(
    answer: Answer, notebook: Path, service: FakePlaceNames
) -> None:
    """Stop 2 gets its name with the attribution; the surveyor's own words stay."""
    told = answer("places", notebook)
    again = answer("places", notebook)
    with Notebook.open(notebook) as opened:
        words = [stop.place_text for stop in opened.all(Stop)]
        undone = opened.undo()

    assert told["named"] == [{"stop": 2, "place": NAME}]
    assert again["asked"] == 0
    assert service.asked == [(60.2, 24.9)]
    assert words == ["By the mill", NAME, ""]
    assert undone == "names of places"


def test_without_a_network_one_sentence_is_told_and_nothing_changed(
    run: Callable[..., Result], notebook: Path, service: FakePlaceNames
) -> None:
    """Exit code 2."""
    service.answer = NoNetwork("No answer came.")
    result = run("places", notebook)

    assert result.exit_code == 2
    assert result.stderr.splitlines()[-1] == "No answer came."
    assert run("places", notebook, "--stop", "7").exit_code == 2
