"""What is asked of a notebook at each touch costs the same however much it holds."""

from __future__ import annotations

import pytest

from surveyapp.model import Device, Reading, Row, SpeedRun, Stop
from surveyapp.store import Notebook
from tests.store.conftest import NOON

FEW, MANY = 40, 800


def steps_of_newest(notebook: Notebook, kind: type[Row]) -> int:
    """Steps of SQLite's machine to find the newest row of a kind; no other load changes them."""
    steps = [0]

    def count() -> None:
        steps[0] += 1

    raw = notebook._connection._raw
    raw.set_progress_handler(count, 1)
    assert len(notebook.newest(kind, 1)) == 1
    raw.set_progress_handler(None, 0)
    return steps[0]


@pytest.mark.parametrize("kind", [Reading, SpeedRun])
def test_the_newest_entry_is_found_without_looking_through_all(
    notebook: Notebook, stop: Stop, device: Device, kind: type[Reading | SpeedRun]
) -> None:
    """Each sheet opened asks for it: after a year that once read every row there was."""
    taken = []
    for count in (FEW, MANY):
        rows = [kind(stop_id=stop.id, device_id=device.id, time_utc=NOON) for _ in range(count)]
        notebook.save(*rows)
        taken.append(steps_of_newest(notebook, kind))

    assert taken[1] <= taken[0]


def test_a_pictures_row_is_found_by_its_file(notebook: Notebook) -> None:
    """Looked up by an index (sqlite.org/eqp.html), not by reading all photos."""
    plan = notebook._connection.rows("EXPLAIN QUERY PLAN SELECT 1 FROM photo WHERE file = 'a'")

    assert "photo_file" in str(plan)
