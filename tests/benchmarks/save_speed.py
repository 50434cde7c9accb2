"""What a durable save costs: `python -m tests.benchmarks.save_speed [SAVES]`.

Each save (row, carriers, journal, references checked) is put beside one plain sqlite3 commit of
one row, in turn, in the same run, on the same disk: both in WAL with synchronous FULL.
Checkpoints fall into either as they come.
"""

from __future__ import annotations

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from surveyapp.model import (
    Carrier,
    Device,
    Draft,
    Reading,
    Role,
    Site,
    SpeedRun,
    Stop,
    Survey,
    new_id,
)
from surveyapp.store import Notebook

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def raw_commit(raw: sqlite3.Connection) -> Callable[[], Any]:
    """One plain commit of one row of a reading's size."""
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("CREATE TABLE entry (id TEXT PRIMARY KEY, stop TEXT, phone TEXT, text TEXT) STRICT")

    def commit() -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("INSERT INTO entry VALUES (?, ?, ?, ?)", (new_id(), "s", "d", "x" * 100))
        raw.execute("COMMIT")

    return commit


def saves(notebook: Notebook) -> dict[str, Callable[[], Any]]:
    """The saves that are timed, by name."""
    survey, device = notebook.save(Survey(title="timed"), Device(label="A"))
    stop = notebook.save(Stop(survey_id=survey.id, number=1, time_utc=NOON))[0]
    owned = {"stop_id": stop.id, "device_id": device.id, "time_utc": NOON}
    nr = Carrier(band="n258", bandwidth_mhz=100.0, count=4, rsrp_dbm=-86.0, sinr_db=14.0)
    carriers = (nr, Carrier(role=Role.ANCHOR, band="b20", bandwidth_mhz=10.0))
    return {
        "reading with two carriers": lambda: notebook.save(Reading(carriers=carriers, **owned)),
        "speed run": lambda: notebook.save(SpeedRun(down_mbps=1480.0, up_mbps=96.0, **owned)),
        "site": lambda: notebook.save(Site(name="Quay 4", lat_deg=60.17, lon_deg=24.94)),
        "keystroke of a sheet": lambda: notebook.keep_draft(
            Draft(sheet="reading", stop_id=stop.id, fields={"rsrp": "-86"}, focus=new_id())
        ),
    }


def measure(count: int) -> list[tuple[str, float, float, float]]:
    """(name, median in ms, mean in ms, ratio of the medians to the raw commit)."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        raw = sqlite3.connect(folder / "raw.sqlite", isolation_level=None)
        with closing(raw), Notebook.create(folder / "street.survey") as notebook:
            works = {"raw commit of one row": raw_commit(raw)} | saves(notebook)
            taken: dict[str, list[float]] = {work: [] for work in works}
            for _ in range(count):
                for work, run in works.items():
                    start = time.perf_counter()
                    run()
                    taken[work].append((time.perf_counter() - start) * 1000.0)
    raw_ms = statistics.median(next(iter(taken.values())))
    return [
        (work, statistics.median(times), statistics.mean(times), statistics.median(times) / raw_ms)
        for work, times in taken.items()
    ]


def main() -> None:
    """Print the table."""
    print(f"{'':28}{'median ms':>10}{'mean ms':>10}{'ratio':>8}")
    for work, median_ms, mean_ms, ratio in measure(int(sys.argv[1]) if sys.argv[1:] else 1000):
        print(f"{work:28}{median_ms:10.3f}{mean_ms:10.3f}{ratio:8.2f}")


if __name__ == "__main__":
    main()
