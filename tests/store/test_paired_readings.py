"""Readings that two phones share, found without reading a notebook of years."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from surveyapp.analysis.phone_offset import OffsetLearner, offsets_from_readings
from surveyapp.model import Carrier, Device, Reading, Stop, Survey
from surveyapp.store import Notebook
from surveyapp.store.stop_columns import PAIRED_SURVEYS
from tests.store.conftest import NOON


def a_day(notebook: Notebook, phones: tuple[str, ...], day: int) -> list[Reading]:
    """A survey of one stop where these phones read one cell, the later one 6 dB higher."""
    survey = Survey(title=f"Day {day}")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON + timedelta(days=day))
    readings = [
        Reading(stop_id=stop.id, device_id=phone, time_utc=stop.time_utc,
                carriers=(Carrier(band="n78", pci=7, rsrp_dbm=-80.0 + 6.0 * at),))
        for at, phone in enumerate(phones)
    ]  # fmt: skip
    notebook.save(survey, stop, *readings)
    return list(notebook.all(Reading, stop_id=stop.id))


def test_pairs_tell_the_same_as_all_readings(notebook: Notebook) -> None:
    """Stops with one phone are passed over; what is learned of the phones stays the same."""
    notebook.save(Device(id="a", label="A"), Device(id="b", label="B"))
    paired = a_day(notebook, ("a", "b"), 1)
    a_day(notebook, ("a",), 2)
    deleted = a_day(notebook, ("b", "a"), 3)
    notebook.delete(deleted[0])

    assert notebook.paired_readings() == paired
    assert offsets_from_readings(notebook.paired_readings()) == offsets_from_readings(
        notebook.all(Reading)
    )


def test_only_the_newest_surveys_are_looked_at(notebook: Notebook) -> None:
    """A pair of longer ago no longer tells of phones whose software went on."""
    notebook.save(Device(id="a", label="A"), Device(id="b", label="B"))
    a_day(notebook, ("a", "b"), 0)
    newest = [a_day(notebook, ("a", "b"), day) for day in range(1, PAIRED_SURVEYS + 1)]

    assert notebook.paired_readings() == [reading for day in newest for reading in day]


def test_after_a_reading_only_its_stop_is_read_again(notebook: Notebook) -> None:
    """Each saved reading once read the pairs of forty surveys anew: after a year the Stop page
    took twice as long as in its first days. What is learned stays the same."""
    notebook.save(Device(id="a", label="A"), Device(id="b", label="B"))
    days = [a_day(notebook, ("a", "b"), day) for day in range(3)]
    learner, asked = OffsetLearner(), []

    def read(stops: list[str]) -> list[Reading]:
        asked.append(stops)
        return notebook.all(Reading, stop_id=stops)

    def learned() -> object:
        found = learner.learn(notebook.paired_stops(), read)
        assert found == offsets_from_readings(notebook.paired_readings())
        return found

    first = learned()
    changed = replace(days[1][0], carriers=(Carrier(band="n78", pci=7, rsrp_dbm=-99.0),))
    notebook.save(changed)
    assert learned() != first
    notebook.undo()
    assert learned() == first
    notebook.delete(days[2][0])
    assert learned() != first
    notebook.undo()
    learned()
    learned()
    stops = [day[0].stop_id for day in days]
    assert asked == [sorted(stops), [stops[1]], [stops[1]], [stops[2]]]
