"""Work on a notebook that is there to be killed: one process forks a worker for each wish.

`python -m tests.benchmarks.killed_work`: each line of stdin is a job and a folder that `prepare`
has filled. The worker tells its process id, then each thing it has done and acknowledges, and
at last 'done'; then it waits for its end, after which 'ended' is said.
"""

from __future__ import annotations

import io
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from PIL import Image

from surveyapp.exchange.content import Content
from surveyapp.exchange.files import temporary_folder
from surveyapp.exchange.formats import read_survey, survey_format
from surveyapp.keeping import back_up, restore_over
from surveyapp.model import Carrier, Device, Draft, Photo, Reading, Row, Site, Stop, Survey
from surveyapp.store.notebook import Notebook
from tests.store.keep_schema import kept

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
HALF_TYPED = Draft(sheet="reading", stop_id="stop", fields={"primary_rsrp": "-8"}, focus="")
PICTURES, BUNDLES, BATCH = 12, 3, 4


def picture(number: int) -> bytes:
    """A small picture like no other."""
    held = io.BytesIO()
    Image.new("RGB", (32, 24), (number % 256, number // 256, 77)).save(held, "PNG")
    return held.getvalue()


def walk(name: str, readings: int = 40) -> list[Row]:
    """A survey with a stop, a phone, a site and readings of two carriers."""
    survey, phone = Survey(id=f"{name}-survey", title=name), Device(id=f"{name}-phone", label=name)
    stop = Stop(id=f"{name}-stop", survey_id=survey.id, number=1, time_utc=NOON)
    carriers = (Carrier(rsrp_dbm=-86.0), Carrier(band="b20"))
    rows = [
        Reading(id=f"{name}-{number}", stop_id=stop.id, device_id=phone.id, time_utc=NOON,
                carriers=carriers)
        for number in range(readings)
    ]  # fmt: skip
    return [survey, stop, phone, Site(id=f"{name}-site", name=name), *rows]


def prepare(job: str, folder: Path) -> None:
    """What the job needs: 'mine', a notebook with a half-typed sheet, and its sources."""
    (folder / "tmp").mkdir(parents=True)
    mine = folder / "mine.notebook"
    if job == "upgrade":
        shutil.copy(kept(2), mine)
        return
    with Notebook.create(mine) as notebook:
        notebook.save(*walk("mine"))
        notebook.add_photo(picture(900), survey_id="mine-survey")
        notebook.keep_draft(HALF_TYPED)
        if job == "restore":
            back_up(notebook, folder / "earlier.backup.zip")
            notebook.save(*walk("later"))
    if job == "merge":
        shutil.copy(mine, folder / "other.notebook")
        shutil.copytree(folder / "mine.photos", folder / "other.photos")
        with Notebook.open(folder / "other.notebook") as notebook:
            notebook.save(*walk("other", 150))
            for number in range(PICTURES):
                notebook.add_photo(picture(number), survey_id="other-survey")
    if job == "bundle import":
        for number in range(BUNDLES):
            write_bundle(folder, number)


def write_bundle(folder: Path, number: int) -> None:
    """A bundle of a walk with pictures."""
    with Notebook.create(folder / "source.notebook") as source:
        source.save(*walk(f"bundle{number}"))
        for nth in range(BATCH):
            source.add_photo(picture(number * 10 + nth), survey_id=f"bundle{number}-survey")
        rows = source.rows_of()
        content = Content(rows=rows, pictures=source.pictures_of(rows))
        write = survey_format("bundle").write
        assert write is not None
        write(content, folder / f"bundle{number}.zip")
    (folder / "source.notebook").unlink()
    shutil.rmtree(folder / "source.photos")


def _photos(folder: Path, notebook: Notebook) -> Iterator[str]:
    for number in range(PICTURES):
        photo = notebook.add_photo(picture(number), survey_id="mine-survey")
        yield photo.id
    sources = [folder / f"{number}.png" for number in range(100, 100 + BATCH)]
    for number, path in enumerate(sources):
        path.write_bytes(picture(100 + number))
    names = [notebook._photos.keep(path) for path in sources]
    rows = [Photo(id=f"batch{name}", survey_id="mine-survey", file=name) for name in names]
    notebook.bring_in([replace(row, created_utc=NOON, changed_utc=NOON) for row in rows], sources)
    yield from (row.id for row in rows)


def _bundles(folder: Path, notebook: Notebook) -> Iterator[str]:
    for number in range(BUNDLES):
        with temporary_folder() as workspace:
            brought = read_survey(folder / f"bundle{number}.zip", workspace)
            notebook.bring_in(brought.rows, brought.pictures)
        yield f"bundle{number}-survey"


def _merge(folder: Path, notebook: Notebook) -> Iterator[str]:
    with Notebook.open(folder / "other.notebook") as other:
        notebook.merge_from(other)
    yield "other-survey"


def _backup(folder: Path, notebook: Notebook) -> Iterator[str]:
    for number in range(3):
        back_up(notebook, folder / f"{number}.backup.zip")
        yield f"{number}.backup.zip"


def _restore(folder: Path, notebook: Notebook) -> Iterator[str]:
    restore_over(folder / "earlier.backup.zip", notebook, folder / "kept.backup.zip")
    yield "restored"


def _upgrade(folder: Path, notebook: Notebook) -> Iterator[str]:
    yield notebook.origin


JOBS = {
    "photos": _photos,
    "bundle import": _bundles,
    "merge": _merge,
    "backup": _backup,
    "restore": _restore,
    "upgrade": _upgrade,
}


def work(job: str, folder: Path) -> None:
    """Do the job until killed, and tell what is done."""
    tempfile.tempdir = str(folder / "tmp")
    os.write(1, f"{os.getpid()}\n".encode())
    with Notebook.open(folder / "mine.notebook") as notebook:
        for done in JOBS[job](folder, notebook):
            os.write(1, f"{done}\n".encode())
    os.write(1, b"done\n")


def main() -> None:
    """Fork a worker for each wish."""
    for line in sys.stdin:
        job, _, folder_name = line.strip().partition("\t")
        child = os.fork()
        if child == 0:
            work(job, Path(folder_name))
            signal.pause()
        os.waitpid(child, 0)
        os.write(1, b"ended\n")


if __name__ == "__main__":
    main()
