"""A year typed through the app's session: `python -m tests.benchmarks.soak [--surveys 200]`.

Two hundred surveys of 20 stops, 200 entries and 15 pictures each go through the entry sheets'
state, kept as a draft and saved, as on screen but without drawing. In the tenth survey, in each
twentieth and in the last each field is a draft of its own, at each stop the Stop page's answers
are worked out, at the end of the day the Day page's list, and all is timed; the others are typed
with one draft a sheet and without asking for the streets' names. Printed are memory, and processor
time of a field, a save and each page, in the tenth survey and in the last; then what the real app
takes to its first pages, on the notebook as it was at either time (goal: 1.2). All walk through
one quarter with the same sites, so that a stop has as much around it at the end. The phones and
all figures are invented, the streets those of the sample.
"""

from __future__ import annotations

import io
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

import click
import numpy as np
from PIL import Image

from surveyapp.exchange.formats import read_ground
from surveyapp.model import Device, PositionFrom, Sector, Site
from surveyapp.resources import shipped
from surveyapp.store.notebook import Notebook
from surveyapp.ui.day_list import day_of
from surveyapp.ui.entries import form_named
from surveyapp.ui.entries.state import EntryState, state_of
from surveyapp.ui.session import Session
from tests.benchmarks.large_notebook import HERE, SHOWN

BEGIN = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)
STOPS, PICTURES, SITES, WARM = 20, 15, 8, 10
GOAL = 1.2
READING = {
    "primary_band": "258", "primary_count": "4", "primary_width": "100", "primary_rsrp": "-86",
    "primary_rsrq": "-12.5", "primary_sinr": "14", "anchor_band": "20", "anchor_width": "10",
}  # fmt: skip
RUN = {"down": "1480", "up": "96", "ping": "17", "jitter": "2.4", "loss": "0"}
SAVING, FIELD, STOP_PAGE, DAY_PAGE = "save", "field", "Stop page", "Day page"


class Year:
    """Types surveys, and holds what each took: `took[what]` in ms of processor time."""

    def __init__(self, folder: Path) -> None:
        self.now = BEGIN
        self.chance = random.Random(1)
        self.folder = folder
        self.timed = True
        self.entries = self.pictures = 0
        self.took: dict[str, list[float]] = defaultdict(list)
        self.notebook = Notebook.create(folder / "year.notebook", clock=lambda: self.now)
        self.notebook.keep_setting("cautions_read", True)
        ground = shipped("sample_surveys", "quarter.osm.gz")
        self.notebook.ground.replace(read_ground(ground), "OpenStreetMap")
        self.session = Session(self.notebook, lambda: self.now)
        self.notebook.save(Device(label="Phone A"), Device(label="Phone B"))
        south, west, north, east = self.notebook.ground.bounds
        self.box = ((south, north), (west, east))

    def survey(self, day: int, timed: bool) -> None:
        """One day out."""
        self.timed = timed
        self.now = BEGIN + timedelta(days=int(1.8 * day))
        self.took.clear()
        if day == 0:
            for number in range(SITES):
                self._site(number)
        for nth in range(STOPS):
            self.now += timedelta(minutes=12)
            self.session.start_stop()
            self._position()
            self._stop(with_picture=nth < PICTURES)
            if timed:
                self._time(STOP_PAGE, lambda: (self.session.answers(), self.session.verdicts()))
        self._time(DAY_PAGE, lambda: day_of(self.notebook, self.session.survey))

    def _position(self) -> None:
        lat_deg, lon_deg = self._place()
        if self.timed:
            self.session.set_position(lat_deg, lon_deg, 5.0, PositionFrom.TYPED)
        else:  # the same but for the names of the streets, which take most of the time
            stop = self.session.need_stop()
            placed = replace(stop, lat_deg=lat_deg, lon_deg=lon_deg, position_sigma_m=5.0)
            self.session.save(placed)

    def _place(self) -> tuple[float, float]:
        (south, north), (west, east) = self.box
        return self.chance.uniform(south, north), self.chance.uniform(west, east)

    def _site(self, number: int) -> None:
        lat_deg, lon_deg = self._place()
        site = Site(name=f"Pole {number}", lat_deg=lat_deg, lon_deg=lon_deg, height_m=8.0)
        panels = [
            Sector(site_id=site.id, label=label, azimuth_deg=azimuth, pci=3 * number + nth)
            for nth, (label, azimuth) in enumerate((("North", 10.0), ("East", 130.0)))
        ]
        self.session.save(site, *panels)

    def _stop(self, with_picture: bool) -> None:
        for nth in range(6):
            level = {"primary_rsrp": str(-80 - self.chance.randrange(30))}
            self._typed("reading", READING | level | {"primary_pci": str(3 * nth)})
        for _ in range(2):
            self._typed("speed_run", RUN | {"down": str(self.chance.randrange(100, 2000))})
        self._typed("remark", {"kind": "other", "text": "A lorry stood in the way."})
        if with_picture:
            self._typed("photo", {"file": str(self._picture()), "caption": "The panel"})
            self.pictures += 1
        else:
            self._typed("remark", {"kind": "other", "text": "Nothing to be seen."})

    def _picture(self) -> Path:
        self.now += timedelta(seconds=1)
        pixels = np.random.default_rng(self.pictures).integers(0, 255, (48, 64, 3), dtype=np.uint8)
        held = io.BytesIO()
        Image.fromarray(pixels).save(held, "JPEG")
        path = self.folder / "taken.jpg"
        path.write_bytes(held.getvalue())
        return path

    def _typed(self, form: str, texts: dict[str, str]) -> None:
        self.now += timedelta(seconds=20)
        state = state_of(form_named(form), self.session, None, {})
        if self.timed:
            for name, text in texts.items():
                self._time(FIELD, lambda name=name, text=text: self._put(state, name, text))
        else:
            state.texts.update(texts)
            self.notebook.keep_draft(state.draft())
        self._time(
            SAVING,
            lambda: state.form.save(self.session, state.texts, None, state.draft()),
        )
        self.entries += 1

    def _put(self, state: EntryState, name: str, text: str) -> None:
        state.put(name, text)
        self.notebook.keep_draft(state.draft())

    def _time(self, what: str, action: Callable[[], object]) -> None:
        begin = time.process_time()
        action()
        self.took[what].append(1000 * (time.process_time() - begin))

    def figures(self) -> dict[str, float]:
        """The medians of the last survey, and the memory held now."""
        return {"memory MB": _held_mb()} | {
            f"{what} ms": median(self.took[what]) for what in (FIELD, SAVING, STOP_PAGE, DAY_PAGE)
        }


def _held_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 2**20


def copied(year: Year, to: Path) -> Path:
    """The notebook as it is now, for the real app to open."""
    year.notebook.backup_to(to)
    return to


def opened(path: Path, title: str) -> tuple[float, float, float]:
    """Seconds to the real app's Stop page and Day page, and the most memory in MB."""
    command = [sys.executable, "-c", SHOWN, path, title]
    done = subprocess.run(command, cwd=HERE, capture_output=True, text=True)
    if done.returncode:
        raise click.ClickException(done.stderr[-2000:])
    stop_s, day_s, memory_mb = (float(word) for word in done.stdout.split()[-3:])
    return stop_s, day_s, memory_mb


def months(year: Year, surveys: int) -> Iterator[tuple[int, dict[str, float]]]:
    """Type them all; what the tenth, each twentieth and the last took."""
    for day in range(surveys):
        timed = day + 1 == WARM or (day + 1) % 20 == 0 or day + 1 == surveys
        year.survey(day, timed)
        if timed:
            yield day + 1, year.figures()


@click.command()
@click.option("--surveys", default=200, show_default=True)
@click.option("--in", "kept", type=click.Path(path_type=Path, file_okay=False))
def main(surveys: int, kept: Path | None) -> None:
    """Type the year and print its table."""
    with tempfile.TemporaryDirectory(dir=kept) as folder:
        place = Path(folder)
        year = Year(place)
        told = {}
        for number, figures in months(year, surveys):
            told[number] = figures
            click.echo(f"{number:>4} " + "".join(f"{n} {v:8.2f}  " for n, v in figures.items()))
            if number == WARM:
                first = (copied(year, place / "first.notebook"), year.session.survey.title)
        last = (copied(year, place / "last.notebook"), year.session.survey.title)
        click.echo(f"{year.entries:,} entries, {year.pictures:,} pictures")
        pages = ("start to the Stop page s", "to the Day page s", "app's memory MB")
        for number, (path, title) in ((WARM, first), (surveys, last)):
            best = [
                min(column) for column in zip(*(opened(path, title) for _ in range(3)), strict=True)
            ]
            told[number] |= dict(zip(pages, best, strict=True))
    click.echo(f"{'':<26}{'survey ' + str(WARM):>12}{'survey ' + str(surveys):>12}{'ratio':>8}")
    for what, before in told[WARM].items():
        after = told[surveys][what]
        click.echo(f"{what:<26}{before:>12.2f}{after:>12.2f}{after / before:>8.2f}")


if __name__ == "__main__":
    main()
