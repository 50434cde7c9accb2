"""A survey and a copy in which something was hidden never become one, whichever came first."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest

from surveyapp.errors import InvalidValue
from surveyapp.exchange.bundle import write_bundle
from surveyapp.exchange.bundle_reading import read_bundle
from surveyapp.exchange.content import Content
from surveyapp.exchange.privacy import NOTHING, Privacy, hidden
from surveyapp.model import Device, Remark, Site, Stop, Survey
from surveyapp.store import Notebook
from tests.store.conftest import NOON, TickingClock
from tests.store.one_of_each import ROWS

WAYS = {
    "all that is safe": Privacy(),
    "stops only": replace(NOTHING, grid_m=50.0),
    "phones only": replace(NOTHING, devices=True),
    "times only": replace(NOTHING, exact_times=True),
}


@pytest.fixture
def stack() -> Iterator[ExitStack]:
    """Closes every notebook of the test."""
    with ExitStack() as held:
        yield held


def notebook_at(path: Path, stack: ExitStack) -> Notebook:
    """A new notebook, closed by `stack`."""
    return stack.enter_context(Notebook.create(path, TickingClock()))


@pytest.fixture
def exact(tmp_path: Path, stack: ExitStack, picture: object) -> Notebook:
    """One row of every kind, as they were noted, with a real picture."""
    made = notebook_at(tmp_path / "exact", stack)
    rows = [row for row in ROWS if type(row).__name__ != "Photo"]
    made.save(*(replace(row, hidden="") if isinstance(row, Survey) else row for row in rows))
    made.add_photo(picture(), survey_id="survey-1", stop_id="stop-1")  # type: ignore[operator]
    return made


def copied(source: Notebook, privacy: Privacy, folder: Path) -> Path:
    """A bundle of the notebook with what `privacy` says hidden."""
    workspace = folder / "workspace"
    workspace.mkdir(exist_ok=True)
    rows = source.rows_of()
    salted = replace(privacy, salt=source.salt_of_copies())
    content = Content(rows=rows, pictures=source.pictures_of(rows))
    write_bundle(hidden(content, salted, workspace), folder / "copy.zip")
    return folder / "copy.zip"


def brought_into(notebook: Notebook, bundle: Path, folder: Path) -> None:
    """Bring a bundle in."""
    workspace = folder / "unpacked"
    workspace.mkdir(exist_ok=True)
    found = read_bundle(bundle, workspace)
    notebook.bring_in(found.rows, found.pictures)


@pytest.mark.parametrize("way", WAYS)
def test_ones_own_copy_changes_nothing(way: str, exact: Notebook, tmp_path: Path) -> None:
    """One's own bundle with something hidden once doubled each phone and brought deleted stops
    back on the grid; now it is refused in one sentence and all stays as it was."""
    gone = exact.save(
        Stop(survey_id="survey-1", number=9, time_utc=NOON, lat_deg=60.1, lon_deg=24.9)
    )
    bundle = copied(exact, WAYS[way], tmp_path)
    exact.delete(*gone)
    before, files = exact.rows_of(), sorted(exact.photo_folder.iterdir())
    with pytest.raises(InvalidValue, match="Nothing was brought in: what arrives is 'Harbour"):
        brought_into(exact, bundle, tmp_path)

    assert exact.rows_of() == before
    assert sorted(exact.photo_folder.iterdir()) == files


@pytest.mark.parametrize("way", WAYS)
def test_the_survey_itself_does_not_mix_into_a_copy(
    way: str, exact: Notebook, tmp_path: Path, stack: ExitStack
) -> None:
    """The other order is refused alike."""
    copy = notebook_at(tmp_path / "copy", stack)
    brought_into(copy, copied(exact, WAYS[way], tmp_path), tmp_path)
    before = copy.rows_of()
    with pytest.raises(InvalidValue, match="'Harbour, first visit' as it was noted"):
        brought_into(copy, copied(exact, NOTHING, tmp_path), tmp_path)

    assert copy.rows_of() == before


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("was_deleted", [False, True])
def test_a_notebook_made_from_a_copy_is_not_merged_in_either_order(
    way: str, was_deleted: bool, exact: Notebook, tmp_path: Path, stack: ExitStack
) -> None:
    """The copy's coarse stops, younger by their journal, once won against the exact ones; also
    from a copy that was deleted meanwhile."""
    copy = notebook_at(tmp_path / "copy", stack)
    brought_into(copy, copied(exact, WAYS[way], tmp_path), tmp_path)
    if was_deleted:
        copy.delete(*copy.all(Survey))
    rows = exact.rows_of(), copy.rows_of()
    for one, other in ((exact, copy), (copy, exact)):
        with pytest.raises(InvalidValue, match="Nothing was merged"):
            one.merge_from(other)

    assert (exact.rows_of(), copy.rows_of()) == rows


def test_a_later_copy_adds_to_the_first_and_doubles_no_phone(
    exact: Notebook, tmp_path: Path, stack: ExitStack
) -> None:
    """Who was given a copy may be given another of the same survey: the phones keep the ids
    they had in the first, and what is new comes in."""
    reader = notebook_at(tmp_path / "reader", stack)
    brought_into(reader, copied(exact, Privacy(), tmp_path), tmp_path)
    exact.save(Remark(id="later", stop_id="stop-1", time_utc=NOON, text="once more"))
    brought_into(reader, copied(exact, Privacy(), tmp_path), tmp_path)

    assert [phone.label for phone in reader.all(Device)] == ["Phone 1"]
    assert reader.get(Remark, "later").text == "once more"
    assert reader.count(Stop) == reader.count(Site) == 1


def test_a_bundle_of_ones_own_merges_without_old_values_winning(
    exact: Notebook, tmp_path: Path, stack: ExitStack
) -> None:
    """A desk notebook made from a bundle, merged with the phone that went on: what the phone
    changed after the bundle stands, although the desk took the bundle in later."""
    bundle = copied(exact, NOTHING, tmp_path)
    site = exact.all(Site)[0]
    exact.save(replace(site, height_m=9.25))
    desk = stack.enter_context(Notebook.create(tmp_path / "desk"))  # today's clock, much later
    brought_into(desk, bundle, tmp_path)
    desk.merge_from(exact)
    exact.merge_from(desk)

    assert desk.get(Site, site.id).height_m == exact.get(Site, site.id).height_m == 9.25
    assert desk.count(Device) == 1
