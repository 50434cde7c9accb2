"""Kills whatever writes, at random moments: `python -m tests.benchmarks.kills [--kills 1000]`.

A share each for typing on the session, typing on the real screens, photos, bundles, merging,
backups, restoring, and the upgrade of an older notebook. After each kill the notebook must open, be
whole by its check, hold what was acknowledged and the half-typed sheet, and lie two days later
without a file that nobody needs. Prints a table; exits with 1 where anything was lost.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import click

from surveyapp.errors import SurveyError
from surveyapp.exchange.files import temporary_folder
from surveyapp.keeping import back_up, unpacked
from surveyapp.model import Photo, Row, Survey
from surveyapp.store.notebook import Notebook
from tests.benchmarks.killed_screens import kill_screens
from tests.benchmarks.killed_work import BATCH, HALF_TYPED, JOBS, PICTURES, prepare
from tests.store.one_of_each import DRAFT, rows_of
from tests.ui.kills import kill_typists

HERE = Path(__file__).resolve().parent.parent.parent
TWO_DAYS_S = 172_800
SHARES = {"typing": 0.28, "real screens": 0.12} | dict.fromkeys(JOBS, 0.1)

WHOLE = {"bundle import": 43 + BATCH, "merge": 153 + PICTURES}  # rows of each walk


@dataclass
class Tally:
    """How often a job was killed before its end, what it had told as done, and what was wrong."""

    kills: int = 0
    told: int = 0
    lost: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)


@contextmanager
def nursery() -> Iterator[subprocess.Popen[str]]:
    """The process that forks workers."""
    command = [sys.executable, "-m", "tests.benchmarks.killed_work"]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    with subprocess.Popen(command, cwd=HERE, text=True, **pipes) as process:
        yield process
        process.stdin.close()


def kill_job(
    workers: subprocess.Popen[str], job: str, folder: Path, count: int, seed: int
) -> Tally:
    """Kill so many workers of a nursery, each on a copy of the same folder."""
    chance, tally = random.Random(seed), Tally()
    clean, run = folder / "clean", folder / "run"
    prepare(job, clean)
    longest_s = 0.0
    for number in range(count + 1):
        shutil.copytree(clean, run)
        begin = time.perf_counter()
        told = _killed(workers, job, run, chance.uniform(0, longest_s) if number else None)
        if number:
            tally.kills += 1
            tally.told += len(told)
        else:
            longest_s = time.perf_counter() - begin  # the first one comes to its end
        _judge(job, run, told, tally)
        shutil.rmtree(run)
    shutil.rmtree(clean)
    return tally


def _killed(
    workers: subprocess.Popen[str], job: str, run: Path, after_s: float | None
) -> list[str]:
    """What a worker told before it was killed, at its end or after so many seconds."""
    workers.stdin.write(f"{job}\t{run}\n")
    workers.stdin.flush()
    child = int(workers.stdout.readline())
    told = []
    if after_s is None:
        told = list(iter(workers.stdout.readline, "done\n"))
    else:
        time.sleep(after_s)
    os.kill(child, signal.SIGKILL)  # it waits for this, so the number is still its own
    told += iter(workers.stdout.readline, "ended\n")
    return [line.strip() for line in told if line != "done\n"]


def _judge(job: str, run: Path, told: list[str], tally: Tally) -> None:
    try:
        with Notebook.open(run / "mine.notebook") as notebook:
            check = notebook.check_file if job == "upgrade" else notebook.check
            tally.damaged += check()  # the kept notebooks of old schemas have no pictures
            tally.lost += _losses(job, run, notebook, told)
        tally.damaged += [f"{job}: {path.name} stays for good" for path in _left_over(job, run)]
    except SurveyError as error:
        tally.damaged.append(f"{job}: {error}")


def _losses(job: str, run: Path, notebook: Notebook, told: list[str]) -> list[str]:
    """What was acknowledged and is not there, or is there by halves."""
    ids = {row.id for row in notebook.rows_of()}
    lost = [f"{job}: {one} is not there" for one in told if _is_row(job, one) and one not in ids]
    surveys = notebook.all(Survey)
    whole = WHOLE.get(job, 0)
    for survey in surveys:
        held = _rows_of_walk(notebook, survey)
        if survey.id.startswith(("bundle", "other")) and held != whole:
            lost.append(f"{job}: {survey.id} has {held} of {whole} rows")
    if job == "backup":
        lost += [f"{job}: {name}" for name in _bad_backups(run, told)]
    if job == "restore" and not _is_either(run, ids, bool(told)):
        lost.append(f"{job}: neither the old state nor the new")
    if job == "upgrade":
        lost += [f"upgrade: {row.id}" for row in rows_of(2) if row.id not in ids]
    draft = DRAFT if job == "upgrade" else HALF_TYPED
    if notebook.drafts() != [draft]:
        lost.append(f"{job}: the half-typed sheet")
    return lost


def _is_row(job: str, told: str) -> bool:
    return job not in ("backup", "restore", "upgrade")


def _rows_of_walk(notebook: Notebook, survey: Survey) -> int:
    rows: list[Row] = notebook.rows_of([survey.id])
    return len([row for row in rows if type(row) is not Photo]) + notebook.count(
        Photo, survey_id=survey.id
    )


def _bad_backups(run: Path, told: list[str]) -> Iterator[str]:
    there = {path.name for path in run.glob("?.backup.zip")}
    yield from sorted(set(told) - there)
    for name in sorted(there):
        with unpacked(run / name) as opened:
            if opened.check():
                yield f"{name} is damaged"


def _is_either(run: Path, ids: set[str], restored: bool) -> bool:
    kept = run / "kept.backup.zip"
    if kept.exists():
        with unpacked(kept) as opened:
            if "later-site" not in {row.id for row in opened.rows_of()}:
                return False
    later = {one for one in ids if one.startswith("later")}
    return not later if restored else len(later) in (0, 44)


def _left_over(job: str, run: Path) -> list[Path]:
    """What lies there two days later, after the notebook was opened and a backup written, and
    belongs to nothing."""
    for path in [*run.rglob("*"), *run.rglob(".*")]:
        os.utime(path, (time.time() - TWO_DAYS_S,) * 2)
    before, tempfile.tempdir = tempfile.tempdir, str(run / "tmp")
    try:
        with Notebook.open(run / "mine.notebook") as notebook:
            back_up(notebook, run / "at last.backup.zip")
            named = {photo.file for photo in notebook.all(Photo)}
        with temporary_folder():
            pass
    finally:
        tempfile.tempdir = before
    known = named if (run / "mine.photos").is_dir() else set()
    left = [path for path in (run / "mine.photos").glob("*") if path.name not in known]
    return [*left, *run.glob(".*"), *(run / "tmp").iterdir()]


@click.command()
@click.option("--kills", default=1000, show_default=True)
@click.option("--seed", default=1, show_default=True)
@click.option("--only", multiple=True, type=click.Choice(list(SHARES)))
def main(kills: int, seed: int, only: tuple[str, ...]) -> None:
    """Kill, look, and tell."""
    wrong = []
    click.echo("what               kills  acknowledged  lost  damaged")
    for job in only or SHARES:
        count = max(1, round(kills * SHARES[job]))
        with tempfile.TemporaryDirectory() as folder, nursery() as workers:
            if job == "typing":
                typed = kill_typists(Path(folder), count, seed)
                tally = Tally(typed.kills, typed.acknowledged, typed.losses)
            elif job == "real screens":
                tally = Tally(*kill_screens(Path(folder), count, seed))
            else:
                tally = kill_job(workers, job, Path(folder), count, seed)
        lost, damaged = len(tally.lost), len(tally.damaged)
        click.echo(f"{job:<16}{tally.kills:>8}{tally.told:>14}{lost:>6}{damaged:>9}")
        wrong += [*tally.lost, *tally.damaged]
    for what in dict.fromkeys(wrong):
        click.echo(what)
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
