"""Saving: one action, all or nothing, and all that is wrong told at once."""

from __future__ import annotations

import math
import sqlite3
from dataclasses import replace
from datetime import datetime

import pytest

from surveyapp.errors import InvalidValue, NotebookError, NotFound
from surveyapp.model import (
    Carrier,
    Device,
    Draft,
    Photo,
    Reading,
    Row,
    Sector,
    SectorCarrier,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.store import Notebook
from tests.store.conftest import NOON


def test_saving_stamps_a_row_and_keeps_its_birth(notebook: Notebook) -> None:
    """The first save sets both stamps, a later one only the change."""
    first = notebook.save(Site(name="Quay 4"))[0]
    second = notebook.save(replace(first, name="Quay 5"))[0]

    assert first.created_utc == first.changed_utc
    assert second.created_utc == first.created_utc
    assert second.changed_utc is not None
    assert first.changed_utc is not None
    assert second.changed_utc > first.changed_utc
    assert notebook.get(Site, first.id) == second


def test_rows_of_one_save_may_name_each_other_in_any_order(notebook: Notebook) -> None:
    """A sector may be given before its site, and two runs may name each other."""
    survey, device = Survey(title="Harbour"), Device(label="A")
    stop = Stop(survey_id=survey.id, number=1, time_utc=NOON)
    first = SpeedRun(stop_id=stop.id, device_id=device.id, time_utc=NOON)
    second = replace(first, id="second", together_with=first.id)
    site = Site(name="Quay 4")

    notebook.save(
        Sector(site_id=site.id), second, replace(first, together_with="second"),
        stop, device, survey, site,
    )  # fmt: skip

    assert notebook.get(SpeedRun, first.id).together_with == "second"
    assert len(notebook.history()) == 1


def test_saving_what_is_there_already_changes_nothing(notebook: Notebook, site: Site) -> None:
    """The same row again adds no action, so a file brought in twice leaves no trace."""
    again = notebook.save(replace(site, created_utc=None, changed_utc=None))

    assert again == (site,)
    assert len(notebook.history()) == 1


def test_carriers_are_replaced_whole(notebook: Notebook, site: Site) -> None:
    """Fewer carriers than before leave none of the old ones behind."""
    three = tuple(SectorCarrier(band=band) for band in ("n258", "b20", "b3"))
    sector = notebook.save(Sector(site_id=site.id, carriers=three))[0]
    notebook.save(replace(sector, carriers=three[1:2]))

    assert notebook.get(Sector, sector.id).carriers == three[1:2]


def test_all_that_is_wrong_with_a_row_is_told_at_once(notebook: Notebook) -> None:
    """A surveyor corrects a row once, not once per field; and nothing was written."""
    bad = Stop(
        survey_id="nowhere", number=1, time_utc=datetime(2026, 5, 4), lat_deg=95.0, lon_deg=-181.0,
        position_sigma_m=math.nan,
    )  # fmt: skip
    with pytest.raises(InvalidValue) as caught:
        notebook.save(Site(name="good"), bad)

    assert len(caught.value.problems) == 5
    for said in ("time zone", "latitude", "longitude", "position sigma", "nowhere"):
        assert said in str(caught.value)
    assert notebook.all(Site) == []
    assert notebook.history() == []


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (Site(name="x", height_m=math.inf), "finite"),
        (Site(name="x", lat_deg=60.0), "both latitude and longitude"),
        (Site(name="x", lat_deg=10**400, lon_deg=0.0), "too large"),
        (Site(name="\ud800"), "no text"),
        (Site(name=None), "name is missing"),  # type: ignore[arg-type]
        (Site(name=7), "must be text"),  # type: ignore[arg-type]
        (Site(name="x", kind="mast"), "lamp post"),  # type: ignore[arg-type]
        (Site(name="x", height_m=True), "must be a number"),
        (Site(name="x", height_m="7"), "must be a number"),  # type: ignore[arg-type]
        (Site(id="", name="x"), "is empty"),
        (Sector(site_id="s", pci=2**63), "too large"),
        (Sector(site_id="s", carriers=(SectorCarrier(mhz=math.nan),)), "carrier 1: MHz"),
        (Sector(site_id="s", carriers=(Carrier(),)), "carrier 1"),  # type: ignore[arg-type]
        (Photo(survey_id="s", file="../../secret.jpg"), "SHA-256"),
    ],
)
def test_a_value_that_cannot_be_kept_is_refused(made: Row, said: str, notebook: Notebook) -> None:
    """What could not be read back, or placed on Earth, is refused with its reason."""
    with pytest.raises(InvalidValue, match=said):
        notebook.save(made)

    assert notebook.history() == []


def test_an_impossible_measurement_is_kept_as_typed(
    notebook: Notebook, stop: Stop, device: Device
) -> None:
    """An RSRP of -300 dBm or +84 dBm is for the doubts, not for the store."""
    carriers = (Carrier(rsrp_dbm=-300.0, pci=1008), Carrier(rsrp_dbm=84.0, count=0))
    made = Reading(stop_id=stop.id, device_id=device.id, time_utc=NOON, carriers=carriers)

    assert notebook.get(Reading, notebook.save(made)[0].id).carriers == carriers


def test_nothing_is_written_when_the_journal_cannot_be(notebook: Notebook, site: Site) -> None:
    """A row and its journal entry stand or fall together."""
    raw = sqlite3.connect(notebook.path)
    raw.execute("CREATE TRIGGER no_more BEFORE INSERT ON journal BEGIN "
                "SELECT raise(ABORT, 'no journal'); END")  # fmt: skip
    raw.commit()
    raw.close()
    with pytest.raises(NotebookError):
        notebook.save(replace(site, name="changed"), Site(name="new"))

    assert notebook.all(Site) == [site]


def test_a_finished_sheet_goes_with_the_save(notebook: Notebook, site: Site) -> None:
    """The draft is gone exactly when the row is there, so it is never entered twice."""
    draft = Draft(sheet="site", row_id=site.id, fields={"name": "Quay 6"})
    notebook.keep_draft(draft)
    with pytest.raises(InvalidValue):
        notebook.save(Site(name="x", height_m=math.nan), finished=draft)
    kept = notebook.drafts()
    notebook.save(replace(site, name="Quay 6"), finished=draft)

    assert kept == [draft]
    assert notebook.drafts() == []


def test_a_row_given_twice_in_one_save_is_refused(notebook: Notebook, site: Site) -> None:
    """Two versions of one row in one action have no meaning."""
    with pytest.raises(InvalidValue, match="given twice"):
        notebook.save(site, replace(site, name="other"))


def test_rows_come_in_their_natural_order(notebook: Notebook, survey: Survey) -> None:
    """Stops by number, sites by name whatever their case, newest from the far end."""
    for number in (10, 2, 1):
        notebook.save(Stop(survey_id=survey.id, number=number, time_utc=NOON))
    for name in ("quay", "Dock", "Mill"):
        notebook.save(Site(name=name))

    assert [stop.number for stop in notebook.all(Stop)] == [1, 2, 10]
    assert [stop.number for stop in notebook.newest(Stop, 2, survey_id=survey.id)] == [10, 2]
    assert [site.name for site in notebook.all(Site)] == ["Dock", "Mill", "quay"]
    assert notebook.next_stop_number(survey.id) == 11
    assert notebook.next_stop_number("another") == 1


def test_rows_are_chosen_by_their_fields(notebook: Notebook, stop: Stop, device: Device) -> None:
    """One value, one of several values, none at all, or a time."""
    first, second = notebook.save(
        SpeedRun(stop_id=stop.id, device_id=device.id, time_utc=NOON, down_mbps=900.0),
        SpeedRun(stop_id=stop.id, device_id=device.id, time_utc=NOON),
    )

    assert notebook.all(SpeedRun, down_mbps=900.0) == [first]
    assert notebook.all(SpeedRun, down_mbps=None) == [second]
    assert notebook.all(SpeedRun, id=[first.id, "nowhere"]) == [first]
    assert notebook.count(SpeedRun, time_utc=NOON, stop_id=stop.id) == 2
    with pytest.raises(InvalidValue, match="no field"):
        notebook.all(SpeedRun, colour="red")


def test_a_row_that_is_not_there_is_not_found(notebook: Notebook) -> None:
    """An unknown id is told, an odd one too."""
    with pytest.raises(NotFound):
        notebook.get(Site, "nowhere")
    with pytest.raises(InvalidValue):
        notebook.get(Site, "\ud800")
    with pytest.raises(NotFound):
        notebook.delete(Site(name="never saved"))
    with pytest.raises(InvalidValue, match="keeps no rows"):
        notebook.all(Row)
