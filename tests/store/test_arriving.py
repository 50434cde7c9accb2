"""Rows that leave a notebook and arrive in another: stamps kept, nothing twice, refusals told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from surveyapp.errors import InvalidValue
from surveyapp.exchange.formats import SURVEY_FORMATS, SurveyFormat, read_survey
from surveyapp.exchange.privacy import NOTHING, Privacy, hidden
from surveyapp.model import (
    Device,
    Photo,
    Reading,
    Remark,
    Row,
    Sector,
    Sighting,
    Site,
    Stop,
    Survey,
)
from surveyapp.store import Notebook
from tests.exchange.survey_contents import one_of_each
from tests.store.conftest import NOON, TickingClock
from tests.store.one_of_each import ROWS

DAY = timedelta(days=1)
WRITTEN = [known for known in SURVEY_FORMATS if known.write is not None]


@pytest.fixture
def full(notebook: Notebook, picture: Callable[..., bytes]) -> Notebook:
    """A notebook with one row of every kind and a real picture."""
    notebook.save(*(row for row in ROWS if not isinstance(row, Photo)))
    notebook.add_photo(picture(), survey_id="survey-1", stop_id="stop-1")
    return notebook


@pytest.fixture
def other(tmp_path: Path, clock: TickingClock) -> Iterator[Notebook]:
    """An empty notebook for rows to arrive in, a day later."""
    clock.now += DAY
    with Notebook.create(tmp_path / "other.survey", clock) as made:
        yield made


def pictures(notebook: Notebook) -> list[Path]:
    """The pictures of a notebook."""
    return sorted(notebook.photo_folder.iterdir())


def test_every_kind_of_row_arrives_with_its_stamps(full: Notebook, other: Notebook) -> None:
    """What arrives equals what left, to the microsecond of its stamps, pictures too."""
    rows = full.rows_of()
    with other:
        arrival = other.bring_in(rows, pictures(full))

        assert arrival.added == len(rows) == len(ROWS)
        assert sorted(other.rows_of(), key=str) == sorted(rows, key=str)
        assert other.check() == []


def test_the_same_rows_twice_change_nothing(full: Notebook, other: Notebook) -> None:
    """A second arrival writes no row and no entry of the journal."""
    rows = full.rows_of()
    with other:
        other.bring_in(rows, pictures(full))
        before = len(other.history())
        again = other.bring_in(rows, pictures(full))

        assert (again.added, again.changed, again.same) == (0, 0, len(rows))
        assert len(other.history()) == before


def test_an_arrival_is_one_action_to_undo(full: Notebook, other: Notebook) -> None:
    """One undo takes all of it back, one redo brings it again."""
    with other:
        other.bring_in(full.rows_of(), pictures(full), what="brought in a bundle")

        assert other.undo() == "brought in a bundle"
        assert other.rows_of() == []
        assert other.redo() == "brought in a bundle"
        assert len(other.rows_of()) == len(ROWS)


def test_the_newer_of_two_states_stands(notebook: Notebook, site: Site) -> None:
    """A newer arriving row overwrites, an older one or one without a stamp does not."""
    assert site.changed_utc is not None
    older = replace(site, name="Old name", changed_utc=site.changed_utc - DAY)
    bare = replace(site, name="No stamp", changed_utc=None)
    newer = replace(site, name="New name", changed_utc=site.changed_utc + DAY)

    assert notebook.bring_in([older]).older == 1
    assert notebook.bring_in([bare]).older == 1
    assert notebook.get(Site, site.id).name == "Quay 4"
    assert notebook.bring_in([newer]).changed == 1
    assert notebook.get(Site, site.id) == replace(newer, created_utc=site.created_utc)


def test_a_deleted_row_comes_back_when_brought_in_again(notebook: Notebook, site: Site) -> None:
    """Bringing a row in is asking for it, also after it was deleted here."""
    notebook.delete(site)

    assert notebook.bring_in([site]).changed == 1
    assert notebook.get(Site, site.id).name == site.name


def test_good_rows_come_in_or_nothing_does(notebook: Notebook, stop: Stop, device: Device) -> None:
    """One bad row, and what names it, is refused with its reason; the rest as chosen."""
    bad = Site(name="Nowhere", lat_deg=95.0, lon_deg=0.0)
    panel = Sector(site_id=bad.id, label="A")
    lost = Photo(survey_id=stop.survey_id, file=f"{'cd' * 32}.jpg")
    good = Remark(stop_id=stop.id, time_utc=NOON, text="fine")
    with pytest.raises(InvalidValue, match="Nothing was brought in") as caught:
        notebook.bring_in([good, bad, panel, lost])

    assert len(caught.value.problems) == 3
    assert notebook.all(Remark) == []
    arrival = notebook.bring_in([good, bad, panel, lost], all_or_nothing=False)
    assert arrival.added == 1
    assert [str(one).partition(":")[0] for one in arrival.refused] == [
        "site Nowhere", "photo", "sector A",
    ]  # fmt: skip
    assert notebook.all(Remark)[0].text == "fine"


def test_a_survey_is_its_entries_and_what_they_name(notebook: Notebook, stop: Stop) -> None:
    """The rows of one survey leave out other surveys' entries, unused phones and far sites."""
    used, unused = notebook.save(Device(label="Used"), Device(label="Unused"))
    near = Site(name="Near", lat_deg=60.1702, lon_deg=24.9401)
    sighted = Site(name="Sighted, no position yet")
    far = Site(name="Far", lat_deg=60.3, lon_deg=24.94)
    panel, far_panel = Sector(site_id=near.id), Sector(site_id=far.id)
    other = Survey(title="Other")
    other_stop = Stop(survey_id=other.id, number=1, time_utc=NOON)
    own: list[Row] = [
        near, panel, sighted,
        Sighting(stop_id=stop.id, site_id=sighted.id),
        Reading(stop_id=stop.id, device_id=used.id, time_utc=NOON),
    ]  # fmt: skip
    foreign: list[Row] = [
        far, far_panel, other, other_stop,
        Sighting(stop_id=other_stop.id, site_id=near.id),
        Reading(stop_id=other_stop.id, device_id=used.id, time_utc=NOON),
    ]  # fmt: skip
    notebook.save(*own, *foreign)
    found = {row.id for row in notebook.rows_of([stop.survey_id])}

    assert found == {stop.survey_id, stop.id, used.id, *(row.id for row in own)}
    assert unused.id not in found


def test_every_state_of_a_row_can_be_had(notebook: Notebook, site: Site) -> None:
    """The journal gives each version with the stamp of its change, oldest first."""
    notebook.save(replace(site, height_m=8.0))
    notebook.save(replace(site, height_m=9.0))
    versions = notebook.versions(Site, site.id)

    assert [one.height_m for one in versions] == [None, 8.0, 9.0]
    assert versions[-1] == notebook.get(Site, site.id)


@pytest.mark.parametrize("privacy", [NOTHING, Privacy(salt="s")], ids=["whole", "hidden"])
@pytest.mark.parametrize("known", WRITTEN, ids=lambda known: known.key)
def test_the_same_file_twice_changes_nothing(
    known: SurveyFormat, privacy: Privacy, tmp_path: Path
) -> None:
    """In each format, hidden or not: the second time no row changes and no action is noted."""
    bare = tmp_path / "bare"
    bare.mkdir()
    content = hidden(one_of_each(tmp_path), privacy, bare)
    path = tmp_path / f"x{known.suffixes[0]}"
    assert known.write is not None
    known.write(content, path)
    with Notebook.create(tmp_path / "reader") as reader:
        first = read_survey(path, tmp_path)
        assert reader.bring_in(first.rows, first.pictures).added == len(first.rows) > 0
        held, noted = reader.rows_of(), reader.history()
        second = read_survey(path, tmp_path)
        came = reader.bring_in(second.rows, second.pictures)

        assert (came.added, came.changed) == (0, 0)
        assert reader.rows_of() == held
        assert reader.history() == noted
