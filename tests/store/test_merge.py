"""Two notebooks made one: the laws of merging, conflicts, and copies told apart."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from surveyapp.errors import InvalidValue, NotFound
from surveyapp.model import Carrier, Device, Photo, Reading, Remark, Row, Site, Stop, Survey
from surveyapp.store import Notebook
from tests.store.conftest import NOON, TickingClock

WORDS = st.sampled_from(["a", "b", "c"])
ACTS = st.lists(
    st.tuples(
        st.sampled_from(["edit", "site", "carriers", "remark", "photo", "delete stop",
                         "delete remark", "undo", "redo"]),
        WORDS,
    ),
    max_size=5,
)  # fmt: skip
GIVEN = {"survey", "stop", "phone", "site", "remark", "reading"}
SKEW_S = st.sampled_from([-3000, 0, 1, 5000])


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A closed notebook with a survey, a stop, a phone, a site and a remark."""
    path = tmp_path_factory.mktemp("base") / "base"
    with Notebook.create(path, TickingClock()) as made:
        made.save(
            Survey(id="survey", title="Harbour"),
            Stop(id="stop", survey_id="survey", number=1, time_utc=NOON),
            Device(id="phone", label="Phone A"),
            Site(id="site", name="Mole 1"),
            Remark(id="remark", stop_id="stop", time_utc=NOON, text="first"),
            Reading(id="reading", stop_id="stop", device_id="phone", time_utc=NOON),
        )
    return path


@pytest.fixture(scope="module")
def pictures() -> dict[str, bytes]:
    """Three small pictures."""
    import io

    from PIL import Image

    found = {}
    for word, colour in (("a", "navy"), ("b", "red"), ("c", "gold")):
        held = io.BytesIO()
        Image.new("RGB", (8, 8), colour).save(held, "PNG")
        found[word] = held.getvalue()
    return found


def copy_of(source: Path, target: Path, skew_s: int) -> Notebook:
    """A copy of a closed notebook with its pictures, opened with a clock of its own."""
    shutil.copy(source, target)
    folder = source.with_name(f"{source.stem}.photos")
    if folder.is_dir():
        shutil.copytree(folder, target.with_name(f"{target.stem}.photos"))
    clock = TickingClock()
    clock.now += timedelta(days=1, seconds=skew_s)
    return Notebook.open(target, clock)


def act(notebook: Notebook, what: str, word: str, pictures: dict[str, bytes]) -> None:
    """One thing a surveyor does; what cannot be done (a deleted stop) is passed over."""
    try:
        match what:
            case "edit":
                notebook.save(replace(notebook.get(Survey, "survey"), title=word))
            case "site":
                notebook.save(replace(notebook.get(Site, "site"), text=word, operator=word))
            case "carriers":
                reading = notebook.get(Reading, "reading")
                notebook.save(replace(reading, carriers=(Carrier(band=word),)))
            case "remark":
                notebook.save(Remark(stop_id="stop", time_utc=NOON, text=word))
            case "photo":
                notebook.add_photo(pictures[word], survey_id="survey", caption=word)
            case "delete stop":
                notebook.delete(notebook.get(Stop, "stop"))
            case "delete remark":
                notebook.delete(notebook.get(Remark, "remark"))
            case "undo":
                notebook.undo()
            case _:
                notebook.redo()
    except (NotFound, InvalidValue):
        return


def rows(notebook: Notebook) -> list[Row]:
    """All that is in a notebook, in an order of its own."""
    return sorted(notebook.rows_of(), key=lambda row: (type(row).__name__, row.id))


def conflicts(notebook: Notebook) -> set[tuple[str, str, str]]:
    """The fields in conflict, with all their values."""
    return {(one.row_id, one.field, repr(one.values)) for one in notebook.conflicts()}


@settings(max_examples=25, deadline=None)
@given(st.tuples(ACTS, ACTS, ACTS), st.tuples(SKEW_S, SKEW_S, SKEW_S), ACTS)
def test_merging_obeys_its_laws(
    base: Path,
    pictures: dict[str, bytes],
    acts: tuple[list[Any], ...],
    skews: tuple[int, ...],
    later: list[Any],
) -> None:
    """Either order, repeated and three ways give the same rows; nothing entered is missing; all
    pictures are there; whatever was done on each side, with clocks that go wrong, also after a
    first merge."""
    with TemporaryDirectory() as folder, ExitStack() as stack:

        def copy(source: Path, name: str, skew_s: int = 0) -> Notebook:
            return stack.enter_context(copy_of(source, Path(folder) / name, skew_s))

        sides = [copy(base, name, skew) for name, skew in zip("abc", skews, strict=True)]
        for side, done in zip(sides, acts, strict=True):
            for what, word in done:
                act(side, what, word, pictures)
        a, b, _ = sides
        b.merge_from(a)
        for what, word in later:
            act(b, what, word, pictures)
        entered = {row.id for side in sides for row in side.rows_of()} - GIVEN
        gone = {row.id for row in a.rows_of()} - {row.id for row in b.rows_of()}  # knowingly, by b
        for side in sides:
            side.close()
        paths = [Path(folder) / name for name in "abc"]
        left, right = copy(paths[0], "left"), copy(paths[2], "right")
        others = [copy(path, f"other-{path.name}") for path in paths]
        left.merge_from(others[1])
        left.merge_from(others[2])
        right.merge_from(others[1])
        right.merge_from(others[0])

        assert rows(left) == rows(right)
        assert conflicts(left) == conflicts(right)
        assert left.merge_from(right).changed == right.merge_from(left).changed == 0
        assert rows(left) == rows(right)
        assert entered - gone <= {row.id for row in left.rows_of()}
        assert left.check() == right.check() == []
        assert {row.file for row in left.rows_of() if isinstance(row, Photo)} <= {
            path.name for path in left.photo_folder.glob("*")
        }


@pytest.fixture
def two(base: Path, tmp_path: Path) -> Callable[[], tuple[Notebook, Notebook]]:
    """Makes two copies that go on apart."""
    return lambda: (copy_of(base, tmp_path / "one", 0), copy_of(base, tmp_path / "two", 60))


def test_different_fields_join_and_the_same_field_is_a_conflict(
    two: Callable[[], tuple[Notebook, Notebook]],
) -> None:
    """Both sides' fields stand; where both changed one field the later stands and both are kept."""
    one, other = two()
    with one, other:
        site = one.get(Site, "site")
        one.save(replace(site, operator="Heron (invented)", text="grey"))
        other.save(replace(site, height_m=7.0, text="green"))
        merged = one.merge_from(other)
        found = one.get(Site, "site")

        assert (found.operator, found.height_m, found.text) == ("Heron (invented)", 7.0, "green")
        assert [(item.field, item.values) for item in merged.conflicts] == [
            ("text", ("green", "grey"))
        ]


@pytest.mark.parametrize("choice", ["green", "grey"])
def test_a_choice_ends_a_conflict_on_both_sides(
    two: Callable[[], tuple[Notebook, Notebook]], choice: str
) -> None:
    """The value chosen stands, is known to the other side after a merge, and can be undone."""
    one, other = two()
    with one, other:
        site = one.get(Site, "site")
        one.save(replace(site, text="grey"))
        other.save(replace(site, text="green"))
        one.merge_from(other)
        with pytest.raises(InvalidValue):
            one.settle(one.conflicts()[0], "blue")
        one.settle(one.conflicts()[0], choice)
        other.merge_from(one)

        assert one.conflicts() == other.conflicts() == ()
        assert one.get(Site, "site").text == other.get(Site, "site").text == choice
        assert one.undo() == "chose the text of site Mole 1"


def test_the_same_change_on_both_sides_is_no_conflict(
    two: Callable[[], tuple[Notebook, Notebook]],
) -> None:
    """Two surveyors who write the same agree."""
    one, other = two()
    with one, other:
        for side in (one, other):
            side.save(replace(side.get(Site, "site"), text="grey"))

        assert one.merge_from(other).conflicts == ()


def test_an_edit_in_knowledge_of_the_other_is_no_conflict(
    two: Callable[[], tuple[Notebook, Notebook]],
) -> None:
    """What was changed after a merge stands, even where its clock goes behind."""
    one, other = two()
    with one, other:
        other.save(replace(other.get(Site, "site"), text="green"))
        one.merge_from(other)
        one.save(replace(one.get(Site, "site"), text="grey"))  # a minute behind the other's clock
        other.merge_from(one)

        assert other.get(Site, "site").text == "grey"
        assert other.conflicts() == ()


def test_a_deletion_that_did_not_know_of_an_entry_loses_nothing(
    two: Callable[[], tuple[Notebook, Notebook]],
) -> None:
    """A stop deleted here, while there a remark was added to it, stays with that remark."""
    one, other = two()
    with one, other:
        one.delete(one.get(Stop, "stop"))
        other.save(Remark(id="new", stop_id="stop", time_utc=NOON))
        one.merge_from(other)

        assert one.get(Remark, "new").stop_id == one.get(Stop, "stop").id
        assert one.count(Remark) == 1  # the first remark was deleted, and nobody touched it


def test_undo_after_a_merge_takes_back_ones_own(
    two: Callable[[], tuple[Notebook, Notebook]],
) -> None:
    """Undo goes on with this notebook's own last action, not with the other's."""
    one, other = two()
    with one, other:
        one.save(Site(id="mine", name="Mine"))
        other.save(Site(id="theirs", name="Theirs"))
        one.merge_from(other)

        assert one.undo() == "added site Mine"
        assert {site.id for site in one.all(Site)} == {"site", "theirs"}
        assert one.redo() == "added site Mine"


def test_a_copy_goes_on_under_a_name_of_its_own(base: Path, tmp_path: Path) -> None:
    """The same file reopened keeps its name; a copy gets another with its first action."""
    with copy_of(base, tmp_path / "copy", 0) as copy:
        before = copy.origin
        copy.save(Site(name="New"))
        after = copy.origin
    with Notebook.open(tmp_path / "copy") as again:
        again.save(Site(name="Newer"))

        assert before != after == again.origin
