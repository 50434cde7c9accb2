"""What a survey of thousands of stops takes in memory while it is looked through.

`python -m tests.benchmarks.large_review [STOPS]...` makes a survey of so many stops (5,000 where
none is named) on the streets of `sample_surveys`, with 20 sites, a reading and a run at each
stop, and looks it through as the app and as the report do, each in a process of its own.
Printed are the stops, processor seconds, and the most memory in MB (goal: 500 with 5,000 stops).
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from surveyapp.exchange.formats import read_ground
from surveyapp.model import (
    Carrier,
    Device,
    LatLon,
    Reading,
    Sector,
    SectorCarrier,
    Site,
    SpeedRun,
    Stop,
    Survey,
)
from surveyapp.resources import shipped
from surveyapp.store import Notebook

BEGIN = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
HERE = Path(__file__).resolve().parent.parent.parent
SITES = 20
PAGE = """
import resource, sys, time
from pathlib import Path
from surveyapp.ui.review import reviewed
seen = reviewed(Path(sys.argv[1]), sys.argv[2], lambda: False)
print(len(seen.scenes), time.process_time(),
      resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""
REPORT = """
import resource, sys, time
from pathlib import Path
from surveyapp.ui.telling import account_from
from surveyapp.exchange.privacy import NOTHING
from surveyapp.model import Survey
from surveyapp.store import Notebook
with Notebook.open(Path(sys.argv[1])) as notebook:
    account = account_from(notebook, notebook.get(Survey, sys.argv[2]), NOTHING)
print(len(account.scenes), time.process_time(),
      resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""
LOOKS = {"page": PAGE, "report": REPORT}


def made(path: Path, stops: int) -> str:
    """A survey of so many stops in a notebook at `path`; its id."""
    ground = read_ground(shipped("sample_surveys", "helsinki_centre.osm.pbf"))
    places = [point for street in ground.streets if street.name for point in street.points_deg]
    survey, phone = Survey(title="A long walk (invented)"), Device(label="Phone A")
    with Notebook.create(path, lambda: BEGIN) as notebook:
        notebook.ground.replace(ground, "the streets of the demo")
        notebook.save(survey, phone)
        for number in range(1, stops + 1):
            place_deg = places[number * 7 % len(places)]
            notebook.save(*_stop(survey, phone, number, place_deg))
            if number % max(stops // SITES, 1) == 0:
                notebook.save(*_site(number, place_deg))
    return survey.id


def _stop(
    survey: Survey, phone: Device, number: int, place_deg: LatLon
) -> list[Stop | Reading | SpeedRun]:
    """A stop with a reading and a run."""
    at = BEGIN + timedelta(minutes=number)
    stop = Stop(survey_id=survey.id, number=number, time_utc=at, lat_deg=place_deg[0],
                lon_deg=place_deg[1], position_sigma_m=5.0)  # fmt: skip
    carrier = Carrier(band="n258", mhz=26500.0, bandwidth_mhz=100.0, count=4, rsrp_dbm=-80.0,
                      sinr_db=14.5)  # fmt: skip
    reading = Reading(stop_id=stop.id, device_id=phone.id, time_utc=at, carriers=(carrier,))
    run = SpeedRun(stop_id=stop.id, device_id=phone.id, time_utc=at, reading_id=reading.id,
                   down_mbps=900.0, up_mbps=60.0, ping_ms=14.0)  # fmt: skip
    return [stop, reading, run]


def _site(number: int, place_deg: LatLon) -> list[Site | Sector]:
    """A site with two panels, back to back."""
    site = Site(name=f"Node {number}", lat_deg=place_deg[0], lon_deg=place_deg[1])
    held = (SectorCarrier(band="n258", mhz=26500.0, bandwidth_mhz=100.0, count=4),)
    panels = [Sector(site_id=site.id, label=f"S{n}", azimuth_deg=(37.0 * number + 180.0 * n) % 360,
                     carriers=held) for n in (1, 2)]  # fmt: skip
    return [site, *panels]


def looked_through(path: Path, survey_id: str, look: str) -> tuple[int, float, float]:
    """Stops seen, processor seconds, and the most memory in MB."""
    done = subprocess.run([sys.executable, "-c", LOOKS[look], path, survey_id], cwd=HERE,
                          capture_output=True, text=True, check=False)  # fmt: skip
    if done.returncode:
        raise click.ClickException(done.stderr[-2000:])
    seen, seconds, memory_mb = done.stdout.split()[-3:]
    return int(seen), float(seconds), float(memory_mb)


@click.command()
@click.argument("stops", type=int, nargs=-1)
def main(stops: tuple[int, ...]) -> None:
    """Print what each size takes."""
    click.echo("look     stops  processor s  memory MB")
    for count in stops or (5_000,):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "long.notebook"
            survey_id = made(path, count)
            for look in LOOKS:
                seen, seconds, memory_mb = looked_through(path, survey_id, look)
                click.echo(f"{look:<7}{seen:>7,}{seconds:>13.1f}{memory_mb:>11.0f}")


if __name__ == "__main__":
    main()
