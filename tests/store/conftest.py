"""A fresh notebook per test, a clock that ticks by the second, and pictures."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from surveyapp.model import Device, Reading, Site, Stop, Survey
from surveyapp.store import Notebook

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


class TickingClock:
    """A clock that goes on by one second whenever it is read."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        """The next second."""
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def clock() -> TickingClock:
    """A clock of the test's own."""
    return TickingClock()


@pytest.fixture
def notebook(tmp_path: Path, clock: TickingClock) -> Iterator[Notebook]:
    """An empty notebook in a folder of its own."""
    with Notebook.create(tmp_path / "street.survey", clock) as made:
        yield made


@pytest.fixture
def survey(notebook: Notebook) -> Survey:
    """A saved survey."""
    return notebook.save(Survey(title="Harbour"))[0]


@pytest.fixture
def stop(notebook: Notebook, survey: Survey) -> Stop:
    """A saved stop of that survey."""
    made = Stop(survey_id=survey.id, number=1, time_utc=NOON, lat_deg=60.17, lon_deg=24.94)
    return notebook.save(made)[0]


@pytest.fixture
def device(notebook: Notebook) -> Device:
    """A saved phone."""
    return notebook.save(Device(label="Phone A"))[0]


@pytest.fixture
def site(notebook: Notebook) -> Site:
    """A saved site."""
    return notebook.save(Site(name="Quay 4", lat_deg=60.171, lon_deg=24.941))[0]


@pytest.fixture
def reading(notebook: Notebook, stop: Stop, device: Device) -> Reading:
    """A saved reading."""
    return notebook.save(Reading(stop_id=stop.id, device_id=device.id, time_utc=NOON))[0]


@pytest.fixture
def picture() -> Callable[..., bytes]:
    """Makes the bytes of a small picture."""

    def make(colour: str = "navy", kind: str = "JPEG", size: tuple[int, int] = (64, 48)) -> bytes:
        held = io.BytesIO()
        Image.new("RGB", size, colour).save(held, kind)
        return held.getvalue()

    return make
