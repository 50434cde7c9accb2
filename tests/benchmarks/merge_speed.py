"""What merging costs for each entry, as the notebooks grow: it must stay the same.

`python -m tests.benchmarks.merge_speed` merges two notebooks that went on apart, with 12,500 to
50,000 entries each, and prints the time for one entry beside that of the smallest.
"""

from __future__ import annotations

import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from surveyapp.model import Remark, Stop, Survey
from surveyapp.store import Notebook

SIZES = (12_500, 25_000, 50_000)
AN_ACTION = 25
NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def fill(notebook: Notebook, entries: int) -> None:
    """So many remarks, some at a time, at one stop each action."""
    for number in range(entries // AN_ACTION):
        stop = Stop(survey_id="survey", number=number + 1, time_utc=NOON)
        remarks = (
            Remark(stop_id=stop.id, time_utc=NOON, text=str(n)) for n in range(AN_ACTION - 1)
        )
        notebook.save(stop, *remarks)


def seconds(entries: int, folder: Path) -> float:
    """Processor time to merge two notebooks of that many entries each, all of them apart."""
    with Notebook.create(folder / "one") as one:
        one.save(Survey(id="survey", title="Walk"))
        one.backup_to(folder / "two")
        with Notebook.open(folder / "two") as two:
            fill(one, entries)
            fill(two, entries)
            begin = time.process_time()
            merged = one.merge_from(two)
            spent = time.process_time() - begin
    assert merged.added == entries
    return spent


def main() -> None:
    """Print time for each entry, and its ratio to that of the smallest notebooks."""
    first = None
    for entries in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            each_us = 1e6 * seconds(entries, Path(folder)) / entries
        first = first or each_us
        print(f"{entries:>7} entries {each_us:8.1f} us each {each_us / first:6.2f}")


if __name__ == "__main__":
    main()
