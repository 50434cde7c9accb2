"""Opening: what cannot be used is told in one sentence of the right kind, and left untouched."""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from surveyapp.errors import (
    DamagedNotebook,
    LockedNotebook,
    NewerNotebook,
    NotANotebook,
    NotebookError,
    ReadOnlyNotebook,
)
from surveyapp.model import Draft, Site
from surveyapp.store import Notebook
from surveyapp.store.identity import APPLICATION_ID, SCHEMA


@pytest.fixture
def good(tmp_path: Path) -> Path:
    """A closed notebook with forty sites."""
    path = tmp_path / "street.survey"
    with Notebook.create(path) as notebook:
        notebook.save(*(Site(name=f"Quay {number}") for number in range(40)))
    return path


def picture_of(folder: Path) -> dict[str, str]:
    """Names and contents of a folder; a -shm file is only SQLite's scratch memory."""
    return {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file() and not path.name.endswith("-shm")
    }


def refused(path: Path, kind: type[NotebookError]) -> str:
    """Open the path, see it refused in one sentence by exactly this kind, and nothing touched."""
    before = picture_of(path.parent)
    with pytest.raises(NotebookError) as caught:
        Notebook.open(path)

    assert type(caught.value) is kind
    assert caught.value.path == str(path)
    assert picture_of(path.parent) == before
    said = str(caught.value)
    assert said.endswith(".")
    assert "\n" not in said
    return said


def make_other_database(path: Path) -> None:
    """An SQLite file of some other program."""
    raw = sqlite3.connect(path)
    raw.execute("CREATE TABLE site (name)")
    raw.commit()
    raw.close()


@pytest.mark.parametrize(
    "make",
    [
        make_other_database,
        lambda path: path.write_text("Dear diary", encoding="utf-8"),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(bytes(range(256)) * 64),
        lambda path: path.mkdir(),
    ],
    ids=["another database", "text", "empty", "noise", "folder"],
)
def test_what_is_no_notebook_is_refused(make: Callable[[Path], None], tmp_path: Path) -> None:
    """Another program's file stays what it is."""
    make(tmp_path / "thing.survey")

    refused(tmp_path / "thing.survey", NotANotebook)


@pytest.mark.parametrize("name", ["gone.survey", "no/such/folder.survey", "x" * 300])
def test_a_missing_file_is_told_and_not_made(name: str, tmp_path: Path) -> None:
    """Opening never creates."""
    with pytest.raises(NotebookError):
        Notebook.open(tmp_path / name)

    assert list(tmp_path.iterdir()) == []


def test_a_newer_notebook_is_refused(good: Path) -> None:
    """The sentence says to install the new version."""
    raw = sqlite3.connect(good)
    raw.execute(f"PRAGMA user_version = {SCHEMA + 1}")
    raw.close()

    assert "newer version" in refused(good, NewerNotebook)


@pytest.mark.parametrize("bit", range(8))
def test_a_flipped_bit_in_the_header_is_survived_or_told(good: Path, bit: int) -> None:
    """Any bit of the hundred bytes: the notebook opens whole, or is refused untouched."""
    content = good.read_bytes()
    refusals = 0
    for place in range(100):
        spoilt = bytearray(content)
        spoilt[place] ^= 1 << bit
        good.write_bytes(spoilt)
        try:
            with Notebook.open(good) as notebook:
                assert len(notebook.all(Site)) == 40
                assert notebook.check() == []
        except (DamagedNotebook, NewerNotebook):
            refusals += 1
            assert good.read_bytes() == spoilt
            assert list(good.parent.iterdir()) == [good]

    assert refusals > 30


def test_damaged_pages_are_told(good: Path) -> None:
    """A page of noise anywhere in the tables is found when the notebook is opened."""
    content = good.read_bytes()
    told = 0
    for page in range(1, len(content) // 4096):
        spoilt = bytearray(content)
        spoilt[page * 4096 : page * 4096 + 200] = random.Random(page).randbytes(200)
        good.write_bytes(spoilt)
        refused(good, DamagedNotebook)
        told += 1

    assert told > 20


@pytest.mark.parametrize("share", [0.3, 0.9, 0.999])
def test_a_file_cut_short_is_told(good: Path, share: float) -> None:
    """A copy that broke off is not opened as if it were whole."""
    content = good.read_bytes()
    good.write_bytes(content[: int(len(content) * share)])

    refused(good, DamagedNotebook)


KILLED = """
import os, signal, sys
from surveyapp.model import Site
from surveyapp.store import Notebook
notebook = Notebook.open(sys.argv[1])
for number in range(5):
    notebook.save(Site(name=f"new {number}"))
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_damage_beside_a_killed_programs_log_is_told(good: Path) -> None:
    """Neither the file nor the write-ahead log is touched, so a rescue can still use both."""
    subprocess.run([sys.executable, "-c", KILLED, str(good)], check=False)
    assert good.with_name("street.survey-wal").stat().st_size > 0
    whole = good.read_bytes()
    spoilt = bytearray(whole)
    for page in range(1, len(whole) // 4096):
        spoilt[page * 4096 : page * 4096 + 8] = b"\xff" * 8
    good.write_bytes(spoilt)
    refused(good, DamagedNotebook)
    good.write_bytes(whole)
    with Notebook.open(good) as notebook:
        assert notebook.count(Site) == 45


HOLDING = """
import sqlite3, sys
raw = sqlite3.connect(sys.argv[1], isolation_level=None)
if sys.argv[2] == "all":
    raw.execute("PRAGMA locking_mode = EXCLUSIVE")
raw.execute("BEGIN EXCLUSIVE")
raw.execute("UPDATE site SET name = name")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def holding(good: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Lets another process hold the notebook; nobody waits long for it here."""
    monkeypatch.setattr("surveyapp.store.connection.BUSY_S", 0.05)
    started: list[subprocess.Popen[str]] = []

    def hold(how: str) -> None:
        process = subprocess.Popen(
            [sys.executable, "-c", HOLDING, str(good), how],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        started.append(process)
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"

    yield hold
    for process in started:
        process.communicate()


def test_a_notebook_locked_by_another_program_is_told(
    good: Path, holding: Callable[[str], None]
) -> None:
    """Nothing is waited for without end, and nothing is touched."""
    holding("all")

    assert "Another program" in refused(good, LockedNotebook)


def test_a_save_while_another_program_writes_is_told(
    good: Path, holding: Callable[[str], None]
) -> None:
    """The notebook opens and can be read; the save is refused whole and can be tried again."""
    holding("writing")
    with Notebook.open(good) as notebook:
        with pytest.raises(LockedNotebook):
            notebook.save(Site(name="too early"))
        with pytest.raises(LockedNotebook):
            notebook.keep_draft(Draft(sheet="site"))

        assert notebook.count(Site) == 40


def test_two_programs_share_one_notebook(good: Path) -> None:
    """Each sees what the other saved, and undo takes back the last action of either."""
    with Notebook.open(good) as one, Notebook.open(good) as two:
        one.save(Site(name="from one"))
        two.save(Site(name="from two"))

        assert one.count(Site) == 42
        assert one.undo() == "added site from two"
        assert two.undo() == "added site from one"
        assert one.count(Site) == 40


@pytest.fixture
def plain_user() -> Iterator[Path]:
    """A folder, and no right beyond those its permissions give (root has all of them)."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    rooted = hasattr(os, "geteuid") and os.geteuid() == 0
    yield folder
    if rooted:
        os.setresuid(0, 0, 0)
    folder.chmod(0o755)
    shutil.rmtree(folder)


def as_plain_user() -> None:
    """Give up the rights of root for file access, where the test has them."""
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        os.setresuid(65534, 65534, 0)


@pytest.mark.skipif(os.name != "posix", reason="permissions of POSIX")
def test_a_read_only_place_is_told(good: Path, plain_user: Path) -> None:
    """A folder or file without the right to write: told before SQLite leaves side files."""
    copy = plain_user / "copy.survey"
    shutil.copy(good, copy)
    copy.chmod(0o444)
    plain_user.chmod(0o555)
    as_plain_user()

    assert "nothing can be written" in refused(copy, ReadOnlyNotebook)
    with pytest.raises(ReadOnlyNotebook):
        Notebook.create(plain_user / "new.survey")
    assert [path.name for path in plain_user.iterdir()] == ["copy.survey"]


def test_creating_never_writes_over_anything(good: Path) -> None:
    """Whatever is there stays, and no half-made file is left."""
    before = picture_of(good.parent)
    with pytest.raises(NotebookError, match="already something"):
        Notebook.create(good)

    assert picture_of(good.parent) == before


def test_a_closed_notebook_is_one_marked_file(good: Path) -> None:
    """No side files remain, and the mark stands where SQLite says (file format, 1.3.14)."""
    content = good.read_bytes()

    assert list(good.parent.iterdir()) == [good]
    assert int.from_bytes(content[68:72], "big") == APPLICATION_ID
    assert int.from_bytes(content[60:64], "big") == SCHEMA
