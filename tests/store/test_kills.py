"""Whatever writes is killed: photos, a bundle coming in, a merge, a backup, restoring, upgrading.

`python -m tests.benchmarks.kills` does it a thousand times.
"""

from __future__ import annotations

from pathlib import Path

from tests.benchmarks.killed_work import JOBS
from tests.benchmarks.kills import kill_job, nursery

KILLS = 2


def test_a_kill_leaves_the_notebook_whole_and_nothing_behind(tmp_path: Path) -> None:
    """After each of twelve it opens, passes its check, holds what was acknowledged and the
    half-typed sheet, and two days later no file lies there that nobody needs."""
    with nursery() as workers:
        tallies = {job: kill_job(workers, job, tmp_path, KILLS, seed=20260610) for job in JOBS}

    assert [(job, t.lost, t.damaged) for job, t in tallies.items() if t.lost or t.damaged] == []
    assert {t.kills for t in tallies.values()} == {KILLS}
