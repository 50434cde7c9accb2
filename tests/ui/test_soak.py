"""A notebook that grows: what a saving and the Stop page take of the database stays the same.

`python -m tests.benchmarks.soak` types a whole year and looks at memory and time.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks import soak

EARLY, LATE = 8, 14  # by the eighth there are as many earlier values as are ever offered
A_FIFTH_MORE = 1.2


def test_the_work_of_a_saving_does_not_grow_with_the_notebook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Steps of SQLite's machine, which no other load of the computer changes: typing a survey takes
    as many in the fourteenth as in the eighth, up to a fifth."""
    monkeypatch.setattr(soak, "STOPS", 2)
    monkeypatch.setattr(soak, "PICTURES", 1)
    year = soak.Year(tmp_path)
    steps = [0]

    def count() -> None:
        steps[0] += 1

    year.notebook._connection._raw.set_progress_handler(count, 100)
    taken = []
    for day in range(LATE):
        before = steps[0]
        year.survey(day, timed=day + 1 in (EARLY, LATE))
        taken.append(steps[0] - before)

    assert taken[LATE - 1] < A_FIFTH_MORE * taken[EARLY - 1]
    assert year.entries == LATE * 20
    assert year.notebook.check() == []
    year.notebook.close()
