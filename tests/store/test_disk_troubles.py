"""What a power cut, a full disk or a careless copy does to the files of a notebook."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from surveyapp.model import Photo, Site, Survey
from surveyapp.store import Notebook

SAVES = 6
KILLED = f"""
import os, signal, sys
from surveyapp.model import Draft, Site
from surveyapp.store import Notebook
notebook = Notebook.open(sys.argv[1])
for number in range({SAVES}):
    notebook.save(Site(name=f"new {{number}}"))
notebook.keep_draft(Draft(sheet="site", fields={{"name": "half"}}))
os.kill(os.getpid(), signal.SIGKILL)
"""
FILLING = """
import resource, sys
from pathlib import Path
from surveyapp.errors import SurveyError
from surveyapp.keeping import back_up
from surveyapp.model import Draft, Site
from surveyapp.store import Notebook
what, path = sys.argv[1], Path(sys.argv[2])
with Notebook.open(path) as notebook:
    most = path.stat().st_size + 60_000
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    done = 0
    try:
        for number in range(1000):
            if what == "row":
                notebook.save(Site(name=f"new {number}", text="x" * 500))
            elif what == "draft":
                notebook.keep_draft(Draft(sheet="site", fields={"name": str(number) + "x" * 9000}))
            elif what == "photo":
                notebook.add_photo(path.with_name("large.png"), survey_id="survey")
            elif what == "copy":
                resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))
                notebook.backup_to(path.with_name("full.survey"))
            else:
                notebook.add_photo(path.with_name("small.png"), survey_id="survey")
                resource.setrlimit(resource.RLIMIT_FSIZE, (9_000, 9_000))
                back_up(notebook, path.with_name("full.backup.zip"))
            done += 1
    except SurveyError as error:
        print(done)
        print(error)
"""


@pytest.fixture
def killed(tmp_path: Path) -> Path:
    """A notebook whose last six savings are in its write-ahead log only."""
    path = tmp_path / "street.survey"
    with Notebook.create(path) as notebook:
        notebook.save(Site(name="old"))
    subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False)
    return path


def log_of(path: Path) -> Path:
    """The write-ahead log beside a notebook (sqlite.org/wal.html)."""
    return path.with_name(f"{path.name}-wal")


def names_in(path: Path) -> list[str]:
    """The sites of a notebook that opens and is whole."""
    with Notebook.open(path) as notebook:
        assert notebook.check() == []
        return [site.name for site in notebook.all(Site)]


def test_a_log_cut_anywhere_gives_the_savings_before_the_cut(killed: Path) -> None:
    """A power cut tears the last page: what was saved before it stays, in order, without a gap."""
    whole, log = killed.read_bytes(), log_of(killed).read_bytes()
    wanted = [f"new {number}" for number in range(SAVES)]
    seen = set()
    for cut in range(0, len(log), 5_000 + 7):
        killed.write_bytes(whole)
        log_of(killed).write_bytes(log[:cut])
        found = names_in(killed)

        assert found == [*wanted[: len(found) - 1], "old"]
        seen.add(len(found))

    assert {1, 3, SAVES} <= seen


def test_a_log_with_noise_in_its_last_page_loses_that_saving_alone(killed: Path) -> None:
    """Each page of the log has a checksum (sqlite.org/fileformat2.html, 4.2)."""
    log = bytearray(log_of(killed).read_bytes())
    log[-2_000:] = b"\xa5" * 2_000
    log_of(killed).write_bytes(log)
    with Notebook.open(killed) as notebook:
        assert notebook.check() == []
        assert notebook.count(Site) == SAVES + 1
        assert notebook.drafts() == []  # the draft was saved last


def test_a_notebook_copied_without_its_log_opens_as_it_was_before(killed: Path) -> None:
    """Whoever copies the one file of a killed program has the savings up to the last closing."""
    log_of(killed).unlink()

    assert names_in(killed) == ["old"]


def test_a_picture_cut_short_is_named_and_the_notebook_opens(
    notebook: Notebook, survey: Survey, picture: Callable[..., bytes]
) -> None:
    """The check says which file, and that its bytes have changed."""
    photo = notebook.add_photo(picture(), survey_id=survey.id)
    file = notebook.photo_folder / photo.file
    file.write_bytes(file.read_bytes()[:100])
    notebook.close()
    with Notebook.open(notebook.path) as again:
        assert again.count(Photo) == 1
        assert [photo.file in said and "damaged" in said for said in again.check()] == [True]


@pytest.mark.skipif(sys.platform == "win32", reason="limits of POSIX")
@pytest.mark.parametrize("what", ["row", "draft", "photo", "backup", "copy"])
def test_a_full_disk_is_told_and_loses_nothing(
    what: str, tmp_path: Path, picture: Callable[..., bytes]
) -> None:
    """Files may grow by 60 kB only: the change that does not fit is refused in one sentence, and
    all before it is there."""
    path = tmp_path / "street.survey"
    (tmp_path / "small.png").write_bytes(picture(kind="PNG"))
    noise = picture(kind="PNG", size=(64, 48)) + b"\0" * 600_000
    (tmp_path / "large.png").write_bytes(noise)
    with Notebook.create(path) as notebook:
        notebook.save(Survey(id="survey", title="Walk"))
    ended = subprocess.run(
        [sys.executable, "-c", FILLING, what, str(path)], capture_output=True, text=True
    )
    assert ended.returncode == 0, ended.stderr
    done, said = ended.stdout.splitlines()
    assert said.endswith(".")
    assert "incoming" not in said  # a copy once told of a file under way that nobody knows
    with Notebook.open(path) as notebook:
        assert notebook.check() == []
        assert notebook.count(Site) == (int(done) if what == "row" else 0)
        assert notebook.count(Photo) == (1 if what == "backup" else 0)
    assert [one.name for one in tmp_path.rglob(".*")] == []
    assert not [*tmp_path.glob("full*")]
