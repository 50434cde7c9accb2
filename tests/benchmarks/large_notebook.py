"""What a long life costs: a notebook of 1,000,000 readings beside one of 10,000.

`python -m tests.benchmarks.large_notebook [READINGS] [--in FOLDER]` opens each, in turns and in a
process of its own, and shows the last day: the Stop page, then the Day page with every entry.
Printed are the least of the times, the most memory, and their ratios (goal: 1.2). A notebook made
in FOLDER stays there for the next time.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from surveyapp.model import Carrier, Device, Rat, Reading, Role, Stop, Survey
from surveyapp.store import Notebook

FEW, MANY = 10_000, 1_000_000
A_STOP, STOPS = 20, 25
A_DAY = A_STOP * STOPS
BEGIN = datetime(2020, 5, 4, 8, 0, tzinfo=UTC)
HERE = Path(__file__).resolve().parent.parent.parent
SHOWN = """
import resource, sys, time
from pathlib import Path
from tests.ui import harness
begin = time.perf_counter()
pilot = harness.start(Path(sys.argv[1]))
harness.until(lambda: pilot.says("Speed run"))
stop_s = time.perf_counter() - begin
pilot.touch("Day")
harness.until(lambda: pilot.says(sys.argv[2]))
day_s = time.perf_counter() - begin
pilot.touch("Stop")  # where it opens the next time
harness.stop(pilot)
print(stop_s, day_s, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def a_day(day: int, phone: Device) -> list[Survey | Stop | Reading]:
    """One survey of 25 stops with 20 readings of two carriers each."""
    at = BEGIN + timedelta(days=day)
    survey = Survey(title=title_of(day))
    rows: list[Survey | Stop | Reading] = [survey]
    for number in range(1, STOPS + 1):
        time_utc = at + timedelta(minutes=10 * number)
        stop = Stop(survey_id=survey.id, number=number, time_utc=time_utc,
                    lat_deg=60.1 + 0.0005 * number, lon_deg=24.9 + 0.0001 * (day % 500),
                    position_sigma_m=5.0)  # fmt: skip
        rows.append(stop)
        for count in range(A_STOP):
            carriers = (
                Carrier(band="n258", mhz=26500.0, bandwidth_mhz=100.0, count=4, pci=15,
                        rsrp_dbm=-80.0 - count, sinr_db=14.5),
                Carrier(role=Role.ANCHOR, rat=Rat.LTE, band="b20", bandwidth_mhz=10.0, pci=201,
                        rsrp_dbm=-90.0 - count),
            )  # fmt: skip
            moment = time_utc + timedelta(seconds=20 * count)
            rows.append(Reading(stop_id=stop.id, device_id=phone.id, time_utc=moment,
                                carriers=carriers))  # fmt: skip
    return rows


def title_of(day: int) -> str:
    """What a day's survey is called."""
    return f"Walk {day + 1}"


def made(path: Path, readings: int) -> Path:
    """The notebook, made where it is not there yet; every day is the same work."""
    if path.exists():
        return path
    phone = Device(label="Phone A")
    clock = [BEGIN]
    with Notebook.create(path, lambda: clock[0]) as notebook:
        notebook.keep_setting("cautions_read", True)
        notebook.save(phone)
        for day in range(readings // A_DAY):
            clock[0] = BEGIN + timedelta(days=day, hours=9)
            notebook.save(*a_day(day, phone), what="a day")
    return path


def shown(path: Path, readings: int) -> tuple[float, float, float]:
    """Seconds to the Stop page and to the Day page, and the most memory in MB."""
    title = title_of(readings // A_DAY - 1)
    done = subprocess.run([sys.executable, "-c", SHOWN, path, title], cwd=HERE,
                          capture_output=True, text=True, check=False)  # fmt: skip
    if done.returncode:
        raise click.ClickException(done.stderr[-2000:])
    stop_s, day_s, memory_mb = (float(word) for word in done.stdout.split()[-3:])
    return stop_s, day_s, memory_mb


def measured(readings: int, folder: Path | None = None, runs: int = 3) -> dict[int, list[float]]:
    """Seconds to the Stop page and to the Day page, and memory in MB, by the size."""
    with tempfile.TemporaryDirectory() as temporary:
        place = folder or Path(temporary)
        sizes = {size: made(place / f"{size}.notebook", size) for size in (FEW, readings)}
        found: dict[int, list[tuple[float, float, float]]] = {size: [] for size in sizes}
        for _ in range(runs):
            for size, path in sizes.items():
                found[size].append(shown(path, size))
    return {size: [min(column) for column in zip(*held, strict=True)]
            for size, held in found.items()}  # fmt: skip


@click.command()
@click.argument("readings", type=int, default=MANY)
@click.option("--in", "folder", type=click.Path(path_type=Path, file_okay=False))
@click.option("--runs", default=3, help="How often each is opened; the least time counts.")
def main(readings: int, folder: Path | None, runs: int) -> None:
    """Print times, memory and ratios."""
    best = measured(readings, folder, runs)
    click.echo("   readings   Stop page s   Day page s   memory MB")
    for size, (stop_s, day_s, memory_mb) in best.items():
        click.echo(f"{size:>11,} {stop_s:13.2f} {day_s:12.2f} {memory_mb:11.0f}")
    ratios = [many / few for few, many in zip(best[FEW], best[readings], strict=True)]
    click.echo(f"      ratio {ratios[0]:13.2f} {ratios[1]:12.2f} {ratios[2]:11.2f}")


if __name__ == "__main__":
    main()
